"""The words that stand in pictures."""

from __future__ import annotations

import pytest

from edgeshift.wording import figures as words


@pytest.mark.parametrize(
    ("feature", "told"),
    [
        (None, ""),
        (
            {"difference": -0.0312, "low": -0.05, "high": -0.0124},
            "difference \u22120.031, between \u22120.050 and \u22120.012",
        ),
        ({"difference": 0.4, "low": None, "high": None}, "difference +0.4"),
    ],
)  # fmt: skip
def test_a_reading_carries_its_sign_and_its_ends(feature, told):
    assert words.reading(feature) == told


@pytest.mark.parametrize(
    ("states", "told"),
    [
        (["keep"] * 3, "3 kept"),
        (["keep", "keep-with-a-note", "set-aside"], "2 kept, 1 with a note, 1 set aside"),
    ],
)
def test_a_tally_counts_noted_scans_among_the_kept(states, told):
    assert words.tally(states) == told


def test_a_rung_says_its_own_words_before_ours():
    detail = {"rung_words": {"units": "one pot each: no test"}, "would_have_shown": {"spots": 0.2}}
    assert words.rung_words("units", "cannot-test", detail) == "one pot each: no test"
    assert words.rung_words("spots", "not-shown", detail) == "not shown; a difference of 0.2 would have"
    assert words.rung_words("scans", "cannot-test", detail) == "cannot be tested"


def test_alternative_text_is_whole_sentences_without_marks():
    assert words.plain_alt("**Keep.** It is quiet", ["one more", ""]) == "Keep. It is quiet. one more."
