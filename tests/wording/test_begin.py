"""The sentences of "Can we begin?": few words, round minutes, a clock where there is one."""

import pytest

from edgeshift.wording import begin as words


def told(cause="normal", low=9.2, value=14.4, high=25.3):
    return {"cause": cause, "minutes": {"low": low, "value": value, "high": high}}


def test_the_sentence_of_a_dry_load():
    said = words.sentence("not-yet", told())
    assert said == "Air and water are leaving. About **14 more minutes,** maybe 9 to 25."


@pytest.mark.parametrize("cause", words.LEAVING)
@pytest.mark.parametrize("high", [25.0, None])
def test_every_sentence_has_at_most_twenty_words(cause, high):
    assert len(words.sentence("not-yet", told(cause, high=high)).split()) <= 20


@pytest.mark.parametrize(
    ("minutes", "said"), [(0.0, "0"), (0.2, "1"), (14.4, "14"), (43.0, "45"), (118.0, "120"), (287.0, "290")]
)
def test_minutes_are_as_round_as_anybody_would_say_them(minutes, said):
    assert words.rounded(minutes) == said


@pytest.mark.parametrize(
    ("zero", "said"),
    [
        (None, "minute 31"),
        ("10:11", "10:42"),
        ("9:11", "09:42"),
        ("2026-03-01T10:11:00+01:00", "10:42"),
        ("2026-03-01T10:11:00Z", "10:42 UTC"),
    ],
)
def test_a_moment_goes_by_the_clock_where_there_is_one(zero, said):
    assert words.at_clock(zero, 31.0) == said


def test_every_cause_has_its_words_everywhere():
    assert words.LEAVING.keys() == words.CAUSES.keys() == words.WHY.keys()
