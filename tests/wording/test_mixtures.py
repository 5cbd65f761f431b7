"""The words of shares: no more digits than an interval is worth."""

from __future__ import annotations

import pytest
import sample_answers

from edgeshift.wording import mixtures as words


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.123, 0.337, ("10", "35")),
        (0.591, 0.629, ("59", "63")),
        (0.0, 0.004, ("0", "1")),
        (0.996, 1.0, ("99", "100")),
        (0.02, 0.99, ("0", "100")),
    ],
)
def test_ends_are_said_in_steps_of_five_where_they_lie_far_apart(low, high, said):
    assert words.ends({"low": low, "high": high}) == said


def test_the_sentence_names_the_share_that_is_surest():
    shares = {"a": {"low": 0.0, "high": 0.9, "value": 0.6}, "b": {"low": 0.2, "high": 0.4, "value": 0.3}}
    said = words.sentence({"specimen": "clay", "shares": shares, "unlike": False, "alone": False})
    assert said == (
        "{specimen:clay} is between about **20 and 40 percent** {specimen:b},"
        " depending on which references we trust."
    )


def test_a_sum_off_one_is_a_caution_and_a_sum_of_one_is_none():
    detail = dict(sample_answers.shares().detail)
    assert not any("add up" in each for each in words.cautions(detail))
    detail["sum"] = {"value": 0.7, "low": 0.66, "high": 0.74}
    assert next(words.cautions(detail)).startswith("The shares add up to 0.66 to 0.74, not to one")
