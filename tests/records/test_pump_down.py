"""A load as the book tells it: every reading on one clock."""

import pytest

from edgeshift.errors import NoteRefused
from edgeshift.records.event import Event
from edgeshift.records.pump_down import Isolation, pump_downs


def event(kind="pressure", **payload):
    told = {"load": "a", "file": None, "zero": None, "began": False} if kind == "pressure" else {"load": "a"}
    return Event(1, "2026-03-01T08:00:00Z", kind, "host", "", told | payload)


def test_readings_of_one_load_join_in_the_order_of_time_and_the_later_word_counts():
    later = event(minutes=[2, 3], mbar=[4.0, 3.0])
    load = pump_downs([later, event(minutes=[1, 2], mbar=[9.0, 5.0])])["a"]
    assert load.minutes == (1, 2, 3) and load.mbar == (9.0, 5.0, 3.0)


def test_the_load_last_heard_of_stands_last():
    other = event(load="b", minutes=[1], mbar=[1.0])
    assert list(pump_downs([event(minutes=[1], mbar=[1.0]), other])) == ["a", "b"]
    again = event("isolate", at_min=1.0, seconds=[0, 60], mbar=[1.0, 2.0])
    assert list(pump_downs([event(minutes=[1], mbar=[1.0]), other, again])) == ["b", "a"]


def test_a_start_told_later_moves_every_minute_and_isolation():
    first = event(zero="2026-03-01T10:10:00Z", minutes=[0.0, 5.0], mbar=[9.0, 5.0])
    shut = event("isolate", at_min=5.0, seconds=[0, 60], mbar=[1.0, 2.0])
    told = event(zero="2026-03-01T11:00:00+01:00", began=True, minutes=[20.0], mbar=[3.0])
    load = pump_downs([first, shut, told])["a"]
    assert load.minutes == (10.0, 15.0, 20.0) and load.began
    assert load.isolations[0].at_min == 15.0


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([(0, 1e-6)], "two readings or more, in order, found 1"),
        ([(60, 1e-6), (0, 2e-6)], "two readings or more, in order"),
        ([(0, 0.0), (60, 1e-6)], "needed mbar above zero"),
    ],
)
def test_what_is_no_rise_is_refused(readings, words):
    with pytest.raises(NoteRefused, match=words):
        Isolation.check(readings)
