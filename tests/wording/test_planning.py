"""The sheets: cautions in our own words, every stretch named, the staff at the foot."""

import pytest

from edgeshift.planning.budget import Stretch
from edgeshift.wording import planning as words


@pytest.mark.parametrize("head", words.CAUTIONS)
def test_every_caution_is_short(head):
    assert 5 < len(words.CAUTIONS[head].split()) <= 20


def test_the_checklist_holds_every_caution_and_defers_to_the_staff():
    sheet = words.checklist()
    assert all(text in sheet for text in words.CAUTIONS.values())
    assert sheet.rstrip().endswith(words.FOOT)


def test_no_caution_holds_a_limit():
    assert not any(letter.isdigit() for text in words.CAUTIONS.values() for letter in text)


def test_a_measuring_stretch_says_edge_rounds_and_load():
    said = words.stretch(Stretch("measure", 0.0, 10.0, "Al K", 2, 3))
    assert said == "Al K, load 2: standard first, then 3 rounds through all specimens, arms in turn"


def test_a_moment_goes_by_the_clock_where_the_end_is_typed():
    zero = words.begins("2026-03-14T20:00:00+01:00", 480.0)
    assert (words.at(135.0, zero), words.at(135.0, None)) == ("14:15", "2:15")
    assert words.begins(None, 480.0) is None
