"""The day by the clock, from moments and from the book."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.figures.day_line import day_clock, day_line, moments_of
from edgeshift.records.event import Event
from edgeshift.records.figure import Moment
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import replay


def scan_at(key: str, started: str | None, ended: str | None) -> Scan:
    return Scan(key, f"{key}.dat", "", "Al K", np.zeros(2), np.ones(2), {}, "", started=started, ended=ended)


def at(hour: int, minute: int = 0) -> str:
    return f"2026-03-14T{hour:02d}:{minute:02d}:00+00:00"


def arrival(number: int, time: str) -> Event:
    told = {"file": f"{number}.dat", "sha256": str(number), "scan": f"scan-{number:03d}"}
    return Event(number, time, "arrival", "tool", "", told)


def test_what_is_left_is_told_in_hours_and_minutes():
    (line,) = day_line([], at(14, 40), at(17)).panels
    assert line.left == "2 h 20 min are ours"
    assert day_line([], at(16, 59), at(17)).panels[0].left == "1 min is ours"
    assert day_line([], at(17, 5), at(17)).panels[0].left == "The shift is over."


def test_without_an_end_nothing_is_said_of_minutes_left():
    figure = day_line([], at(14, 40))
    assert figure.panels[0].left == "" and "ours" not in figure.alt


def test_the_ruler_runs_over_whole_hours_of_the_rooms_own_clock():
    (line,) = day_line([Moment("people", at(9, 20))], at(10), at(16, 45), offset_min=90).panels
    assert (line.begin, line.end) == (at(8, 30), at(17, 30))
    assert line.at == "11:30"


def test_times_of_other_zones_stand_on_the_same_clock():
    there = Moment("scan", "2026-03-14T11:00:00+01:00", words="Al K")
    figure = day_line([there, Moment("people", at(10, 30), words="lunch")], at(12), offset_min=60)
    assert "Al K, 11:00" in figure.alt and "Lunch, 11:30" in figure.alt
    assert figure.panels[0].begin == at(10)


def test_a_rewound_line_keeps_its_length_and_says_what_was_left_then():
    (line,) = day_line([], at(12, 40), at(17), begin=at(9), live=at(14, 40)).panels
    assert (line.begin, line.end, line.left) == (at(9), at(17), "4 h 20 min left then")


def test_the_words_count_scans_of_one_edge_and_those_set_aside():
    scans = [
        Moment("scan", at(11, 5 * n), words="Al K", state="set-aside" if n == 2 else "keep") for n in range(4)
    ]
    flag = Moment("decision", at(11, 7), words="Al first")
    alt = day_line([*scans, flag], at(12), at(17)).alt
    assert "Four scans of Al K, 11:00 to 11:15, one set aside." in alt
    assert "Decision: Al first, 11:07." in alt and alt.endswith("5 h are ours.")


def test_a_scan_stands_at_its_own_time_and_is_known_when_its_file_came():
    state = replay([arrival(1, at(11, 5))])
    (one,) = moments_of(state, [scan_at("scan-001", at(11), at(11, 4))])
    assert (one.start, one.end, one.known, one.words) == (at(11), at(11, 4), at(11, 5), "Al K")


def test_a_file_without_a_time_of_its_own_stands_where_it_arrived():
    state = replay([arrival(1, at(11, 5))])
    assert moments_of(state, [scan_at("scan-001", None, "in spring")])[0].start == at(11, 5)
    (bare,) = moments_of(state)
    assert (bare.start, bare.words) == (at(11, 5), "scan")


def test_a_persons_verdict_goes_before_the_tools():
    judge = Event(2, at(11, 9), "judge", "host", "noisy", {"scan": "scan-001", "verdict": "set-aside"})
    one, flag = moments_of(replay([arrival(1, at(11, 5)), judge]), verdicts={"scan-001": "keep"})
    assert (one.state, flag.kind, flag.words) == ("set-aside", "decision", "{scan:scan-001} set aside")


def test_what_people_wrote_and_declared_stands_there_and_the_first_text_does_not():
    events = [
        Event(1, at(9), "experiment", "host", "", {"text": "a"}),
        Event(2, at(10), "experiment", "host", "a third pot", {"text": "b"}),
        Event(3, at(11), "declare", "host", "", {"edge": "Al K", "feature": {}}),
        Event(4, at(12), "write", "student", "", {"text": "same fire?"}),
        Event(5, at(13), "look", "tool", "", {}),
        Event(6, at(14), "unheard-of", "host", "", {}),
    ]
    found = [(one.kind, one.words) for one in moments_of(replay(events))]
    assert found == [
        ("decision", "a third pot"),
        ("decision", "feature at Al K declared"),
        ("note", "same fire?"),
    ]


def test_decisions_and_claims_stand_there_and_what_takes_them_back_does_not():
    told = [
        ("decide", {"round": 1, "card": "a", "minutes": 10}),
        ("decide", {"undo": 1}),
        ("claim", {"claim": "it changed", "level": 2}),
        ("curtain", {"drawn": True, "lot": ["fired", "raw"], "seed": 1}),
        ("vote", {"round": 1}),
    ]
    events = [Event(n, at(9, n), kind, "host", "", payload) for n, (kind, payload) in enumerate(told, 1)]
    found = [one.words for one in moments_of(replay(events))]
    assert found == ["the group decided", "a claim was written", "curtain drawn"]


@pytest.mark.parametrize("late", [False, True])
def test_files_taken_in_afterwards_stand_where_they_were_measured(late):
    came = [at(20), at(20, 1)] if late else [at(11, 5), at(11, 15)]
    events = [arrival(1, came[0]), arrival(2, came[1])]
    events.append(Event(3, came[1], "write", "host", "", {"text": "well"}))
    scans = [scan_at("scan-001", at(11), at(11, 4)), scan_at("scan-002", at(11, 10), at(11, 14))]
    state = replay(events)
    note = moments_of(state, scans)[-1]
    assert note.start == (at(11, 14) if late else at(11, 15)) and note.known == came[1]
    assert day_clock(state, scans)(came[0]) == (at(11, 4) if late else came[0])


def readings(number: int, time: str, zero: str | None) -> Event:
    told = {
        "load": "a",
        "file": None,
        "zero": zero,
        "began": True,
        "minutes": [0.0, 30.0],
        "mbar": [1e-3, 3e-7],
    }
    return Event(number, time, "pressure", "host", "", told)


def test_noted_pressures_are_a_pump_down_by_the_gauges_clock_or_by_when_they_were_noted():
    (dated,) = moments_of(replay([readings(1, at(12), at(9, 30))]))
    assert (dated.kind, dated.start, dated.end) == ("vacuum", at(9, 30), at(10))
    assert dated.known == at(12) and "3.0" in dated.words
    (bare,) = moments_of(replay([readings(1, at(12), None)]), below_since="minute 22")
    assert (bare.start, bare.end) == (at(11, 30), at(12))
    assert bare.words == "below the typed limit since minute 22"


def test_people_are_told_by_how_many_took_part_and_an_open_vote_by_no_number():
    opening = {"round": "vote-1", "sort": "vote", "state": "open", "cards": [], "seed": 1}
    events = [
        Event(1, at(12), "round", "host", "", opening),
        Event(2, at(12, 1), "vote", "student", "", {"round": "vote-1", "card": "a", "by": "seat"}),
    ]
    (during,) = moments_of(replay(events))
    assert (during.kind, during.words) == ("people", "the room votes")
    closing = Event(3, at(12, 5), "round", "host", "", {"round": "vote-1", "state": "closed"})
    (after,) = moments_of(replay([*events, closing]))
    assert (after.end, after.words) == (at(12, 5), "one voted")
    assert "seat" not in f"{during} {after}"


def test_an_older_file_that_is_added_on_a_live_day_leaves_the_clock_alone():
    events = [arrival(1, at(11, 5)), arrival(2, at(11, 30)), arrival(3, at(11, 40))]
    scans = [
        scan_at("scan-001", at(11), at(11, 4)),
        scan_at("scan-002", at(8), at(8, 4)),
        scan_at("scan-003", at(11, 35), at(11, 39)),
    ]
    placed = day_clock(replay(events), scans)
    for minute in (6, 31, 50):
        assert placed(at(11, minute)) == at(11, minute)


def test_files_of_a_day_to_come_stand_on_that_day():
    events = [arrival(1, "2026-03-01T11:05:00+00:00")]
    scans = [scan_at("scan-001", "2026-04-01T11:00:00+00:00", "2026-04-01T11:04:00+00:00")]
    assert day_clock(replay(events), scans)("2026-03-01T11:06:00+00:00") == "2026-04-01T11:04:00+00:00"
