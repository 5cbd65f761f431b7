"""An experiment begins with a text that holds, however it was come by."""

import pytest

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.new import design_from_file, design_from_interview, new, text_from_file
from edgeshift.errors import FolderRefused, TextRefused
from edgeshift.formats.experiment_text import load

ANSWERS = """\
question: Does firing change the aluminium more than digging elsewhere does?
arms: raw, fired
control: raw
units of raw: [A, B]
units of fired: A, B
pairs: yes
specimens of fired-A: A-f1, A-f2
edges: Al K, Fe L
feature of Al K: ratio 1566-1567 1568.5-1569
"""


def loaded(answers: str):
    return load(text_from_file(answers.encode(), "answers.yaml"), "made")


def test_answers_become_an_experiment_that_holds():
    experiment = loaded(ANSWERS)
    assert [(arm.name, arm.control) for arm in experiment.arms] == [("raw", True), ("fired", False)]
    assert [(u.name, u.arm, u.pair) for u in experiment.units] == [
        ("raw-A", "raw", "A"),
        ("raw-B", "raw", "B"),
        ("fired-A", "fired", "A"),
        ("fired-B", "fired", "B"),
    ]
    assert [s.name for s in experiment.specimens] == ["raw-A", "raw-B", "A-f1", "A-f2", "fired-B"]
    assert experiment.edge_plan("Al K").feature.windows == ((1566.0, 1567.0), (1568.5, 1569.0))
    assert experiment.edge_plan("Fe L").feature is None
    assert experiment.plan.units_per_arm == 2


def test_the_text_explains_itself():
    text = text_from_file(ANSWERS.encode(), "answers.yaml")
    assert "# What was done. The control did not get the treatment." in text
    assert text.count("# ") >= 8


def test_units_of_different_numbers_are_not_asked_about_pairs():
    answers = ANSWERS.replace("units of fired: A, B\npairs: yes\n", "units of fired: C\n").replace(
        "fired-A", "C"
    )
    assert {unit.pair for unit in loaded(answers).units} == {None}
    assert loaded(answers).plan.units_per_arm == 1, "the smaller arm says how often there is a look"


def test_a_name_that_yaml_would_misread_stays_a_name():
    answers = ANSWERS.replace("raw", "'no: 1 # x'").replace("units of 'no: 1 # x'", '"units of no: 1 # x"')
    answers = answers.replace("arms: 'no: 1 # x', fired", 'arms: "no: 1 # x, fired"')
    assert loaded(answers).arms[0].name == "no: 1 # x"


@pytest.mark.parametrize(
    ("old", "new_words", "words"),
    [
        ("control: raw", "control: baked", "answers.yaml: control: needed raw or fired, found 'baked'"),
        ("arms: raw, fired", "arms: raw", "answers.yaml: arms: needed at least 2, with commas between"),
        ("edges: Al K, Fe L", "edges: Alu K", "needed edges as Al K or Fe L, found 'Alu K'"),
        ("ratio 1566-1567 1568.5-1569", "ratio 1566-1567", "needed two windows for a ratio"),
        ("pairs: yes", "pairs: perhaps", "needed yes or no, found 'perhaps'"),
        (
            "question: Does",
            "qestion: Does",
            "needed a few words, found 'qestion' .meant is perhaps 'question'",
        ),
        (
            "pairs: yes",
            "pairs: yes\nspecimens of D: x",
            "that the interview asks, found 'specimens of D'",
        ),
    ],
)
def test_an_answer_without_sense_is_refused_by_its_key(old, new_words, words):
    with pytest.raises(TextRefused, match=words):
        loaded(ANSWERS.replace(old, new_words))


def test_all_keys_that_nobody_knows_are_told_at_once_each_with_the_nearest_that_is_asked():
    answers = ANSWERS + "togther in fired: all\nstep apart: no\nweather: fine\n"
    with pytest.raises(TextRefused, match="answers.yaml: needed keys that the interview asks") as refused:
        loaded(answers)
    assert refused.value.found == (
        "'togther in fired' (meant is perhaps 'together in fired'), "
        "'step apart' (meant is perhaps 'steps apart'), 'weather'"
    )


def test_what_this_design_is_not_asked_is_left_aside_and_said():
    more = "control edge: Ti L\nstandard of Ti L: rutile\nkept back: no\napart instead of fired: 1\n"
    told = design_from_file((ANSWERS + more).encode(), "answers.yaml").answer
    assert told.detail["not_needed"] == ["standard of Ti L", "kept back", "apart instead of fired"]
    assert "Not needed here, and left aside: 'kept back'." in [fact.what for fact in told.because]


def test_an_interview_asks_the_same_questions():
    import ruamel.yaml

    answers = ruamel.yaml.YAML(typ="safe", pure=True).load(ANSWERS)
    asked = []

    def ask(question) -> str:
        asked.append(question.key)
        said = answers.get(question.key, "")
        return ", ".join(said) if isinstance(said, list) else ("yes" if said is True else said)

    assert design_from_interview(ask).text == text_from_file(ANSWERS.encode(), "answers.yaml")
    assert asked[:6] == ["question", "arms", "control", "units of raw", "units of fired", "pairs"]


def test_an_experiment_text_is_taken_as_it_is():
    text = "# ours\nquestion: why?\narms:\n  - {name: raw, control: true}\n"
    assert text_from_file(text.encode("utf-8-sig"), "mine.yaml") == text
    assert design_from_file(text.encode(), "mine.yaml") is None


def test_answers_that_leave_the_design_out_say_what_is_open_and_accuse_nobody_of_it():
    told = design_from_file(ANSWERS.encode(), "answers.yaml").answer
    assert {"portions in raw", "together in fired", "steps apart", "order"} <= set(told.detail["open"])
    assert {each["code"] for each in told.detail["faults"]} == {
        "few-units", "no-control-edge", "no-standard", "no-blank",
    }  # fmt: skip


def test_bytes_that_are_no_text_are_refused():
    with pytest.raises(TextRefused, match="mine.yaml: needed text in UTF-8"):
        text_from_file(b"question: \xff", "mine.yaml")


def test_a_text_that_does_not_hold_makes_no_folder(tmp_path):
    with pytest.raises(
        TextRefused,
        match="mine.yaml:1: needed a field that is known here, found 'qestion'. Did you mean 'question'",
    ):
        new(tmp_path / "shift", "qestion: why?\n", steady_desk(), name="mine.yaml")
    assert not (tmp_path / "shift").exists()


def test_an_experiment_is_not_begun_twice(tmp_path):
    new(tmp_path / "shift", "question: why?\n", steady_desk()).close()
    with pytest.raises(FolderRefused, match="found an experiment"):
        new(tmp_path / "shift", "question: how?\n", steady_desk())
