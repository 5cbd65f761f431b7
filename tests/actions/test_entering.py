"""Nothing enters the book without a role, within bounds, and nothing that a page could not show."""

import pytest

from edgeshift.actions import note
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who, find_scan, new_seat, number_given, seat_given, words
from edgeshift.errors import NoteRefused
from edgeshift.records.shift_state import ShiftState


def test_what_no_page_can_show_is_left_out():
    assert words("the note", " \ud800ab\x00c\u202e\nd\u200de ") == "abc\nd\u200de"


def test_a_reason_that_no_disk_could_hold_is_cleaned_before_it_is_written(folder, desk):
    assert note.judge(folder, desk, Who("host", "odd\ud83d"), "1", "keep").reason == "odd"


@pytest.mark.parametrize("reason", ["\ud800", " \x07 ", "\u202e"])
def test_a_reason_that_nobody_can_read_is_none(folder, desk, reason):
    with pytest.raises(NoteRefused, match="the judgement: needed a reason, found none"):
        note.judge(folder, desk, Who("host", reason), "1", "keep")


def test_a_reason_is_no_book(folder, desk):
    before = folder.events()
    with pytest.raises(NoteRefused, match="the reason: needed at most 2000 letters, found 2001"):
        note.judge(folder, desk, Who("host", "x" * 2001), "1", "keep")
    assert folder.events() == before


@pytest.mark.parametrize("said", [None, 7, ["a"]])
def test_words_are_words(said):
    with pytest.raises(NoteRefused, match="the note: needed words, found"):
        words("the note", said)


@pytest.mark.parametrize("seat", ["anna-maria", "deadbee", "a" * 65, "DEADBEEF", "", None, 12345678])
def test_a_seat_is_a_key_and_never_a_name(seat):
    with pytest.raises(NoteRefused, match="the seat: needed 8 to 64 hexadecimal digits.*never names"):
        seat_given(seat)


def test_a_new_seat_is_one_that_is_taken():
    seats = {new_seat(steady_desk(seed=seed)) for seed in range(50)}
    assert len(seats) == 50
    assert all(seat_given(seat) == seat for seat in seats)


@pytest.mark.parametrize("said", [float("nan"), float("inf"), -0.1, 10.1, True, "5", None])
def test_a_number_is_finite_and_within_its_bounds(said):
    with pytest.raises(NoteRefused, match="the minutes: needed a number from 0 to 10 min, found"):
        number_given("the minutes", said, 0, 10, "min")


def test_a_scan_number_as_long_as_a_book_is_no_scan():
    with pytest.raises(NoteRefused, match="needed a scan in this experiment, found no scan yet"):
        find_scan(ShiftState(), "9" * 5000)
