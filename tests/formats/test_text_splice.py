"""One value is changed in its place, and all that a person typed around it stays."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from edgeshift.errors import TextRefused
from edgeshift.formats.text_splice import ONE_MORE, with_value

TEXT = """\
# The experiment, for people.
question: "what does the fire do?"  # in our words

arms:
  - {name: raw, control: true}  # dried
  - {name: fired}

# What will be asked.
edges:
  - edge: Al K
    feature: {kind: ratio, windows: [[1566.0, 1567.0], [1568.5, 1569.0]]}
    # matters: 0.05
  - edge: Fe L
    # the iron comes later
    matters: 0.1

recipe:
  flag:
    # we agreed on five
    spike_sigmas: 5  # a round number
    i0_floor: 0.3

# How many of what.
plan: {units_per_arm: 2}
limits:
# nothing below
"""


def changed(path: tuple, value) -> list[tuple[str, str]]:
    """The lines that went and the lines that came."""
    old, new = TEXT.splitlines(), with_value(TEXT, path, value, "experiment.yaml").splitlines()
    return [("-", line) for line in old if line not in new] + [("+", line) for line in new if line not in old]


@pytest.mark.parametrize(
    ("path", "value", "lines"),
    [
        (
            ("recipe", "flag", "spike_sigmas"),
            6.5,
            [
                ("-", "    spike_sigmas: 5  # a round number"),
                ("+", "    spike_sigmas: 6.5  # a round number"),
            ],
        ),
        (
            ("question",),
            "why?",
            [
                ("-", 'question: "what does the fire do?"  # in our words'),
                ("+", 'question: "why?"  # in our words'),
            ],
        ),
        (("recipe", "scale", "method"), "area", [("+", "  scale: {method: area}")]),
        (("recipe", "flag", "injection_window_s"), 2, [("+", "    injection_window_s: 2")]),
        (("edges", "Al K", "matters"), 0.05, [("+", "    matters: 0.05")]),
        (("edges", 1, "recipe", "flag", "i0_floor"), 0.2, [("+", "    recipe: {flag: {i0_floor: 0.2}}")]),
        (
            ("arms", "fired", "words"),
            "pit-fired: clay",
            [("-", "  - {name: fired}"), ("+", '  - {name: fired, words: "pit-fired: clay"}')],
        ),
        (
            ("plan", "spots_per_unit"),
            3,
            [("-", "plan: {units_per_arm: 2}"), ("+", "plan: {units_per_arm: 2, spots_per_unit: 3}")],
        ),
        (
            ("limits", "pressure_mbar"),
            1e-6,
            [("-", "limits:"), ("+", "limits: {pressure_mbar: 1e-06}")],
        ),
        (("arms", ONE_MORE), {"name": "glazed"}, [("+", "  - {name: glazed}")]),
        (("beamline", "name"), "no", [("+", 'beamline: {name: "no"}')]),
        (
            ("edges", "Al K", "feature", "windows", 0),
            [1565, 1567.5],
            [
                ("-", "    feature: {kind: ratio, windows: [[1566.0, 1567.0], [1568.5, 1569.0]]}"),
                ("+", "    feature: {kind: ratio, windows: [[1565, 1567.5], [1568.5, 1569.0]]}"),
            ],
        ),
        (("recipe", "flag", "i0_floor"), None, [("-", "    i0_floor: 0.3")]),
        (("edges", "Fe L", "matters"), None, [("-", "    matters: 0.1")]),
        (("arms", "fired"), None, [("-", "  - {name: fired}")]),
        (("plan", "units_per_arm"), None, [("-", "plan: {units_per_arm: 2}")]),
        (
            ("arms", "raw", "control"),
            None,
            [("-", "  - {name: raw, control: true}  # dried"), ("+", "  - {name: raw}  # dried")],
        ),
    ],
)
def test_nothing_but_the_line_of_the_value_changes(path, value, lines):
    assert sorted(changed(path, value)) == sorted(lines)


def test_a_new_value_stands_with_its_own_and_not_behind_the_next_remark():
    new = with_value(TEXT, ("recipe", "scale", "method"), "area", "x")
    assert "    i0_floor: 0.3\n  scale: {method: area}\n\n# How many of what.\n" in new


def test_the_first_field_of_an_entry_is_taken_out_of_its_line():
    text = "units:\n- name: A\n  pair: one\n- pair: two\n  name: B\n"
    assert with_value(text, ("units", 1, "pair"), None, "x") == "units:\n- name: A\n  pair: one\n- name: B\n"


def test_an_empty_text_takes_a_first_value():
    assert with_value("# nothing yet\n", ("limits", "pressure_mbar"), 0.1, "x") == (
        "# nothing yet\nlimits: {pressure_mbar: 0.1}\n"
    )


def test_a_value_of_several_lines_is_replaced_whole():
    text = "question: |\n  what does\n  the fire do?\n\n# next\nplan: {}\n"
    assert with_value(text, ("question",), "Why", "x") == "question: Why\n\n# next\nplan: {}\n"


def test_a_list_without_indent_grows_without_indent():
    text = "arms:\n- name: raw\n  control: true\n# behind\n"
    new = with_value(text, ("arms", ONE_MORE), {"name": "fired"}, "x")
    assert new == "arms:\n- name: raw\n  control: true\n- {name: fired}\n# behind\n"


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ((), 1, "the text: needed the place of a value, found none"),
        (("arms", "glazed", "words"), "x", "the text: arms, glazed, words: needed an entry that is there"),
        (("arms", 7), "x", "needed an entry that is there"),
        (("arms", ONE_MORE, "name"), "x", "needed an entry that is there"),
        (("question", "words"), "x", "question, words: needed a field that can be set, found none"),
        (("plan", 3), "x", "needed a field that can be set, found none"),
        (("plan", "spots_per_unit"), None, "needed something that stands there, found nothing"),
        (("recipe", "scale", "method"), None, "needed something that stands there, found nothing"),
        (("plan", "units_per_arm"), float("nan"), "needed words, numbers, or lists of them"),
        (("plan", "units_per_arm"), object(), "needed words, numbers, or lists of them"),
        (("question",), "a\ud800", "needed one plain place for this value, found another layout"),
    ],
)
def test_a_value_without_a_place_is_refused(path, value, words):
    with pytest.raises(TextRefused, match=words):
        with_value(TEXT, path, value, "the text")


def test_a_value_that_another_place_shares_is_left_to_a_person():
    text = "recipe: &shared {flag: {i0_floor: 0.3}}\nother: *shared\n"
    with pytest.raises(TextRefused, match="another layout. Change it in the text itself"):
        with_value(text, ("other", "flag", "i0_floor"), 0.2, "x")


def test_a_text_that_is_no_yaml_is_refused():
    with pytest.raises(TextRefused, match="x: needed valid YAML, found something else"):
        with_value("a: [1\n", ("a",), 1, "x")


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1, max_size=20)
VALUES = st.one_of(
    WORDS, st.integers(-9999, 9999), st.floats(allow_nan=False, allow_infinity=False), st.booleans()
)


@given(path=st.sampled_from([("question",), ("plan", "x"), ("edges", 0, "feature", "kind")]), value=VALUES)
def test_any_value_comes_back_as_it_was_put(path, value):
    try:
        new = with_value(TEXT, path, value, "x")
    except TextRefused as refusal:
        assert "another layout" in str(refusal)  # some letters no YAML can hold
        assert any(ord(letter) > 126 for letter in str(value))
        return
    there = YAML(typ="safe", pure=True).load(new)
    for part in path:
        there = there[part]
    assert there == value
    assert new.count("#") >= TEXT.count("#")
