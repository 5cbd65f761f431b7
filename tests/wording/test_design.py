"""The words about a design: short, and every blank of every fault can be filled."""

import string

import pytest

from edgeshift.wording.design import APART, FAULTS, fault_words, sentence, ways_of

FILL = {
    "arm": "fired", "listed": 3, "counted": 1, "who": "A+B+C", "could": None, "left": 1, "whole": 3,
    "arms": "pit, kiln", "ways": "heating", "first": "raw", "edge": "K L", "element": "K", "edges": "Al K",
    "found": "0.3", "matters": "0.2",
}  # fmt: skip


@pytest.mark.parametrize("code", FAULTS)
def test_a_fault_names_the_answer_and_leaves_no_blank(code):
    told = fault_words(code, FILL, "order", "arms")
    assert told.says.endswith('You said "order: arms".')
    assert not any(name for text in told for _, name, _, _ in string.Formatter().parse(text) if name)


def test_what_nobody_answered_is_said_to_be_nothing():
    assert fault_words("no-blank", {}, "blank", " ").says.endswith('You said "blank: nothing".')


def test_a_shared_run_is_mended_as_far_as_it_still_can_be():
    some = fault_words("shared-treatment", {**FILL, "could": 3}, "together in fired", "all")
    none = fault_words("shared-treatment", {**FILL, "could": 1}, "together in fired", "all")
    assert some.act == APART["some"].format(arm="fired", could=3)
    assert none.act == APART["none"].format(arm="fired")


@pytest.mark.parametrize("verdict", ["holds", "mend", "cannot-show", "cannot-tell"])
def test_a_design_is_told_in_one_short_sentence_with_one_fact(verdict):
    said = sentence(verdict, 2, 3, "fired")
    assert len(said.split()) <= 20 and said.count("**") == 2


def test_what_comes_by_the_way_is_said_as_people_do():
    assert ways_of(("heat", "dry")) == "heating and drying"
