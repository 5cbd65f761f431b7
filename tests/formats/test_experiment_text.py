"""The experiment text: every fault with its line, and the same record on the way round."""

from __future__ import annotations

import pytest

from edgeshift.errors import TextRefused
from edgeshift.formats import experiment_text

GOOD = """\
question: does firing move the aluminium line?
arms:
  - {name: raw, control: true}
  - {name: fired}
units:
  - {name: A, arm: raw, pair: "010"}
  - {name: B, arm: fired, pair: "010"}
edges:
  - edge: Al K
    feature: {kind: ratio, windows: [[1566.0, 1566.4], [1568.0, 1568.4]]}
beamline:
  energy: {column: Energy}
  channels:
    - {role: i0, columns: [I0]}
    - {role: electron-yield, columns: [TEY], unit: A, sign: -1}
"""


def test_a_text_and_its_record_are_the_same_both_ways() -> None:
    experiment = experiment_text.load(GOOD, "experiment.yaml")
    text = experiment_text.dump(experiment)
    assert experiment_text.load(text, "experiment.yaml") == experiment
    assert experiment_text.dump(experiment_text.load(text, "again")) == text
    assert text.startswith("question: does firing")


def test_a_profile_is_read_alone() -> None:
    profile = experiment_text.load_profile("name: club line\nenergy: {column: '#1'}\n", "profile.yaml")
    assert profile.energy.column == "#1"
    assert experiment_text.load_profile(experiment_text.dump(profile), "x") == profile


def test_all_faults_are_named_at_once_in_the_order_of_lines() -> None:
    text = (
        GOOD.replace("sign: -1", "sgn: -1").replace("kind: ratio", "kind: ration")
        + "plan:\n  spots_per_unit: many\n"
    )
    with pytest.raises(TextRefused, match="3 faults") as refusal:
        experiment_text.load(text, "experiment.yaml")
    said = str(refusal.value)
    parts = (
        "experiment.yaml:10: edge 1, feature, kind: needed 'ratio', ",
        "experiment.yaml:15: beamline, channel 2: needed a field that is known here, found 'sgn'",
        "experiment.yaml:17",
    )
    places = [said.index(part) for part in parts]
    assert places == sorted(places)
    assert "Did you mean 'sign'?" in said
    assert len(said.splitlines()) == 4


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (
            "question: a\nquestion: b\n",
            "experiment.yaml:2: needed every field once, found one that stands twice",
        ),
        ("arms: [{name: a},\n b: }", "experiment.yaml:2: needed valid YAML"),
        ("- a\n- b\n", "needed 'field: value' lines"),
        ("just words", "needed 'field: value' lines"),
        ("arms:\n  - control: true\n", "arm 1: needed the field 'name', found none"),
        ("arms: [{name: a}, {name: a}]", "the name 'a' stands twice"),
        ("units:\n- {name: u, arm: b}", "names the arm 'b'"),
        ("arms:\n  - {name: 1300}", 'experiment.yaml:2: arm 1, name: needed a word, .* in quotes: "1300"'),
        ("recipe: {i0: reference}", "found 'i0'. It belongs under recipe, divide"),
        ("edges:\n- {edge: Al K, matters: 0}", "edge 1, matters: needed a number above 0, found '0'"),
        ("edges:\n- {edge: Al K}\n- {edge: Zz K}", "experiment.yaml:3: edge 2: needed .*, found 'Zz K'"),
        ("question: &x [*x]\n", "experiment.yaml:1"),
        ("[" * 3000, "experiment.yaml"),
    ],
)
def test_each_fault_has_its_line(text: str, fault: str) -> None:
    with pytest.raises(TextRefused, match=fault.replace("[", r"\[")):
        experiment_text.load(text, "experiment.yaml")


def test_a_text_that_unfolds_without_end_is_refused() -> None:
    bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n"
    bomb += "".join(f"a{k}: &a{k} [{', '.join([f'*a{k - 1}'] * 10)}]\n" for k in range(1, 9))
    with pytest.raises(TextRefused, match="refers to itself too deeply"):
        experiment_text.load(bomb, "experiment.yaml")


def test_an_endless_text_is_refused() -> None:
    with pytest.raises(TextRefused, match="at most 1000000 characters"):
        experiment_text.load("#" * 1_000_001, "experiment.yaml")


def test_a_record_on_one_line_reads_back_the_same() -> None:
    record = experiment_text.load(GOOD, "experiment.yaml")
    quick = experiment_text.dump_quick(record)
    assert quick.startswith("{") and "\n" not in quick
    assert experiment_text.load(quick, "experiment.yaml") == record


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('{"question": "a", "question": "b"}', "every field once"),
        ('{"edges": [{"edge": "Xx K"}]}', "edge 1"),
        ('{"arms": [{"name": 1}]', "valid YAML"),
        ('{"colour": "red"}', "colour"),
    ],
)
def test_a_text_on_one_line_has_its_faults_told_like_any_other(text: str, words: str) -> None:
    with pytest.raises(TextRefused, match=words):
        experiment_text.load(text, "experiment.yaml")
