"""The interview as a state machine: the same answers lead to the same place, others to another tree."""

from __future__ import annotations

import pytest

from edgeshift.errors import TextRefused
from edgeshift.planning.design import counts
from edgeshift.planning.interview import walk

PAIRS = {
    "question": "Does the pit fire change clay more than digging elsewhere does?",
    "arms": "raw, fired",
    "control": "raw",
    "units of raw": "A, B, C",
    "units of fired": "A, B, C",
    "pairs": "yes",
    "together in fired": "none",
    "edges": "Al K",
}


def tree(answers) -> list[str]:
    """The keys of all questions on the way to the design, blank where `answers` say nothing."""
    return [question.key for question, _ in finished(answers).asked]


def finished(answers):
    answers = dict(answers)
    step = walk(answers)
    while step.question is not None:
        answers[step.question.key] = ""
        step = walk(answers)
    return step


def changed(**answers: str) -> dict[str, str]:
    return {**PAIRS, **{key.replace("_", " "): text for key, text in answers.items()}}


def test_two_designs_that_differ_only_in_a_shared_fire_get_different_trees():
    apart, shared = tree(PAIRS), tree(changed(together_in_fired="all"))
    assert set(shared) - set(apart) == {"apart instead of fired"}
    assert apart == [key for key in shared if key != "apart instead of fired"]


def test_two_designs_that_differ_only_in_a_shared_fire_count_differently():
    assert [(c.fewest, c.paired) for c in counts(finished(PAIRS).design)] == [(3, True)]
    shared = counts(finished(changed(together_in_fired="all")).design)
    assert [(c.first, c.second, c.paired) for c in shared] == [(3, 1, False)]


def test_nothing_is_asked_before_what_it_depends_on():
    assert walk({}).question.key == "question"
    assert walk({"question": "a than b", "arms": "x, y"}).question.choices == ("x", "y", "none")


def test_answers_that_nothing_leads_to_are_left_aside():
    step = walk({"question": "a than b", "edges": "Al K"})
    assert step.question.key == "arms" and [question.key for question, _ in step.asked] == ["question"]


def test_the_same_answers_lead_to_the_same_design():
    assert finished(PAIRS).design == finished(PAIRS).design


@pytest.mark.parametrize(
    ("answers", "more", "fewer"),
    [
        ({"pairs": "no"}, {"could swap"}, {"same piece"}),
        ({"same piece": "yes"}, {"kept back"}, set()),
        ({"same piece": "yes", "kept back": "yes"}, {"kept back"}, {"order"}),
        ({"made or found": "found"}, set(), {"by the way"}),
        ({"by the way": "heat, dry"}, {"treatment itself", "same by the way"}, set()),
        ({"by the way": "heat, dry", "treatment itself": "heat, dry"}, {"treatment itself"}, set()),
        ({"made or found": "found", "portions in fired": "all"}, {"portions are, in fired"}, {"by the way"}),
        ({"portions in fired": "all"}, {"portions are, in fired"}, {"together in fired"}),
        ({"portions in fired": "A+B"}, {"portions are, in fired"}, set()),
        (
            {"feature of Al K": "height 1566-1567"},
            {"scatter of Al K", "matters of Al K"},
            set(),
        ),
        ({"control edge": "K L", "edges": "Al K, K L"}, {"feature of K L", "concerns K"}, set()),
        ({"control edge": "Ti L"}, {"concerns Ti"}, set()),
        ({"control edge": "Ti L", "touches": "titanium"}, set(), set()),
        ({"control edge": "Ti L", "question": "More TiO2 in fired clay than in raw?"}, set(), set()),
        ({"control edge": "O K", "question": "More iron oxides in fired clay than in raw?"}, set(), set()),
        ({"control edge": "N K", "made or found": "found"}, {"concerns N"}, {"by the way"}),
    ],
)
def test_an_answer_opens_some_questions_and_closes_others(answers, more, fewer):
    before, after = set(tree(PAIRS)), set(tree({**PAIRS, **answers}))
    assert after - before == more and before - after == fewer


def test_one_unit_has_nobody_to_share_with():
    alone = changed(units_of_raw="A", units_of_fired="B", pairs="no")
    assert not {"portions in raw", "together in fired"} & set(tree(alone))


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("arms", "raw", "arms: needed at least 2, with commas between, found 'raw'"),
        ("arms", "raw, raw", "every name once"),
        ("arms", "raw, {fired}", "names without braces"),
        ("control", "baked", "control: needed raw or fired, found 'baked'"),
        ("pairs", "perhaps", "needed yes or no, found 'perhaps'"),
        ("made or found", "bought", "needed made or found"),
        ("together in fired", "A+D", "needed none, all, or names out of A, B, C as A[+]B, found 'D'"),
        ("together in fired", "A, B", "needed none, all, or who was together as A[+]B, found 'A, B'"),
        ("together in fired", "A+B, B+C", "every name once"),
        ("by the way", "magic", "needed heat or wet or dry, found 'magic'"),
        ("treatment itself", "wet", "needed heat, found 'wet'"),
        ("same by the way", "baked", "needed raw or fired"),
        ("touches", "clay", "needed elements as K, C or potassium, found 'clay'"),
        ("touches", "CO", "found 'CO'"),
        ("edges", "Alu K", "needed edges as Al K or Fe L, found 'Alu K'"),
        ("edges", "Al Q", "needed edges as Al K"),
        ("control edge", "Al K", "needed an edge beside the one that you ask about"),
        ("feature of Al K", "ratio 1566-1567", "needed two windows for a ratio"),
        ("scatter of Al K", "-1", "needed a number above 0"),
        ("matters of Al K", "0", "needed a number above 0"),
        ("specimens of raw-B", "raw-A", "needed a name that no specimen has, found 'raw-A'"),
        ("standard of Al K", "raw-A", "needed a name that no specimen has"),
        ("standard of Al K", "one, two", "needed one name"),
        ("blank", "raw-A", "needed a name that no specimen has"),
        ("order", "by lot", "needed turn or arms"),
        ("order", "turn or arms", "needed turn or arms"),
        ("spots", "0", "needed a whole number from 1 to 1000"),
        ("scans", "two", "needed a whole number"),
        ("apart instead of fired", "4", "needed a whole number from 0 to 3"),
    ],
)
def test_an_answer_without_sense_is_refused_by_its_key_with_the_next_act(key, text, words):
    so_far = changed(by_the_way="heat")
    so_far["feature of Al K"] = "height 1566-1567"
    if key.startswith("apart"):
        so_far["together in fired"] = "all"
    with pytest.raises(TextRefused, match=words) as refused:
        finished({**so_far, key: text})
    assert refused.value.thing == key and refused.value.act


@pytest.mark.parametrize(
    ("key", "said", "meant"),
    [
        ("touches", "potassium, c", ("K", "C")),
        ("control edge", "k l", "K L"),
        ("order", "In TURN, please", "turn"),
        ("steps apart", "n", False),
        ("blank", "None", ()),
    ],
)
def test_small_slips_of_writing_are_understood(key, said, meant):
    design = finished({**PAIRS, key: said}).design
    found = {
        "touches": design.touches,
        "control edge": design.control_edge,
        "order": design.order,
        "steps apart": design.steps_apart,
        "blank": design.blanks,
    }
    assert found[key] == meant
