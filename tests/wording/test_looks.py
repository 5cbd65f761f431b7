"""What is said of looks: short, in the house's words, and right in the singular."""

from __future__ import annotations

import pytest

from edgeshift.wording import looks as words

EVERY = [
    *words.NO_LOOK.values(),
    words.NO_PAIR,
    words.LEVEL_OF_FAMILY,
    *(words.frozen(2, paired, waiting) for waiting in words.WAITING for paired in (True, False)),
    *(words.act(waiting, 3, paired) for waiting in words.WAITING for paired in (True, False)),
    words.REPEAT_OR_GIVE_UP,
    words.incomplete("raw A", 1, 2, 3),
    words.too_few_left(3),
    words.taken(2, 3, True, 0),
    words.judged_again(4),
    words.exact(2, 8, 2, True, False),
    words.exact(2, 20, 2, False, False),
    words.under_another_name(1),
    words.plan_changed(3, 4, True),
    words.beyond_the_plan(True),
    words.under_another_name(2),
]


@pytest.mark.parametrize("said", EVERY)
def test_every_sentence_has_at_most_twenty_words(said):
    assert len(said.split()) <= 20


def test_one_is_said_as_one():
    assert words.judged_again(1).endswith("after one decision.")
    assert words.judged_again(2).endswith("after two decisions.")
    assert words.incomplete("A", 0, 1, 1) == "{unit:A} is not complete: none of one spot with its scan"
    assert words.taken(3, 8, False, 1) == (
        "look at three of eight units planned, after one earlier look; its share of the level"
    )
    assert "after two earlier looks" in words.taken(4, 8, False, 2)


def test_a_rung_without_looks_is_not_called_frozen_in_a_picture():
    assert words.short({"frozen": None, "looks": [{"units": 2}], "paired": True}) == ""
    assert words.short({"frozen": "it is", "looks": [], "paired": True}) == ""


def test_what_was_reshuffled_is_counted_out_and_the_share_stands_behind_its_own_count():
    assert words.exact(3, 20, 2, False, True) == (
        "at least 2 of 20 ways to reshuffle the units must reach as far (the declared feature); 3 do"
    )
    assert words.exact(1, 35, 1, False, False).endswith("(the largest difference anywhere); 1 does")
