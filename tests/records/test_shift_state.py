"""The state is replayed from events alone, to any moment."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from edgeshift.errors import QuestionRefused
from edgeshift.records.event import Event
from edgeshift.records.shift_state import ShiftState, replay


def at(minute: int) -> str:
    return f"2026-03-01T{8 + minute // 60:02d}:{minute % 60:02d}:00.000Z"


def book(*lines: tuple) -> tuple[Event, ...]:
    return tuple(
        Event(number, at(number), kind, role, reason, payload)
        for number, (kind, role, reason, payload) in enumerate(lines, start=1)
    )


def arrival(name: str, sha: str = "", **more):
    payload = {"file": name, "sha256": sha or f"sha-{name}", "bytes": 10, "entry": None, "profile": None}
    return ("arrival", "tool", "", {**payload, **more})


def judge(scan: str, verdict: str, reason: str = "blip"):
    return ("judge", "student", reason, {"scan": scan, "verdict": verdict})


def test_an_empty_book_is_an_empty_state():
    assert replay(()) == ShiftState()


def test_scans_are_numbered_in_the_order_of_arrival():
    state = replay(book(arrival("b.dat"), arrival("a.dat")))
    assert {scan: a.file for scan, a in state.arrivals.items()} == {"scan-001": "b.dat", "scan-002": "a.dat"}


def test_a_key_written_in_the_book_wins_over_counting():
    state = replay(book(arrival("b.dat", scan="scan-007")))
    assert list(state.arrivals) == ["scan-007"]


def test_the_same_bytes_again_are_a_copy_and_no_new_scan():
    again = ("duplicate", "tool", "", {"file": "copy.dat", "sha256": "same", "first": "a.dat"})
    state = replay(book(arrival("a.dat", "same"), arrival("b.dat"), again))
    assert len(state.arrivals) == 2
    assert state.arrivals["scan-001"].copies == ("copy.dat",)
    assert state.arrivals["scan-002"].copies == ()


def test_the_last_judgement_stands():
    state = replay(
        book(arrival("a"), judge("scan-001", "set-aside"), judge("scan-001", "keep", "looked twice"))
    )
    assert (state.judgements["scan-001"].verdict, state.judgements["scan-001"].reason) == (
        "keep",
        "looked twice",
    )


def test_undo_brings_back_the_judgement_before():
    lines = (
        arrival("a"),
        judge("scan-001", "keep"),
        judge("scan-001", "set-aside"),
        judge("scan-001", "undo"),
    )
    assert replay(book(*lines)).judgements["scan-001"].verdict == "keep"


def test_undo_of_the_only_judgement_leaves_none():
    state = replay(book(arrival("a"), judge("scan-001", "set-aside"), judge("scan-001", "undo")))
    assert state.judgements == {}
    assert len(state.events) == 3


def test_a_declaration_knows_how_many_scans_had_arrived():
    declared = (
        "declare",
        "teacher",
        "our idea",
        {"edge": "Al K", "feature": {"kind": "height"}, "matters": 0.1},
    )
    state = replay(book(arrival("a"), arrival("b"), declared, arrival("c")))
    assert (state.declarations[0].number, state.declarations[0].matters) == (2, 0.1)


def test_ties_places_looks_and_notes_are_kept_in_order():
    lines = (
        arrival("a"),
        ("tie", "host", "foil", {"edge": "Fe L", "shift_ev": 0.2, "sigma_ev": 0.05, "source": "foil"}),
        ("place", "mentor", "label came off", {"scan": "scan-001", "specimen": "A-raw", "spot": "1"}),
        ("look", "tool", "", {"question": "real", "edge": "Al K"}),
        ("write", "student", "", {"text": "beam was back at ten"}),
    )
    state = replay(book(*lines))
    assert state.ties[0].edge == "Fe L"
    assert state.ties[0].scans == ()
    assert state.places == {"scan-001": {"specimen": "A-raw", "spot": "1"}}
    assert [e.number for e in state.looks + state.notes] == [4, 5]


def test_the_last_accepted_text_is_the_experiment():
    texts = [("experiment", "host", "", {"text": text}) for text in ("one", "two")]
    state = replay(book(*texts))
    assert (state.experiment_text, state.experiment_number) == ("two", 2)


def test_a_kind_from_a_later_version_is_kept_and_changes_nothing_else():
    state = replay(book(arrival("a"), ("sing", "student", "", {"card": 2})))
    assert len(state.events) == 2
    assert state.notes == ()


def test_a_moment_in_another_zone_is_the_same_moment():
    events = book(arrival("a"), arrival("b"))
    assert len(replay(events, until="2026-03-01T09:01+01:00").arrivals) == 1


def test_a_time_that_is_none_is_refused_kindly():
    with pytest.raises(QuestionRefused, match="needed ISO 8601.*found 'noon'"):
        replay((), until="noon")


SCANS = st.sampled_from(["scan-001", "scan-002", "scan-003"])
LINES = st.one_of(
    st.builds(arrival, st.sampled_from("abcdef")),
    st.builds(judge, SCANS, st.sampled_from(["keep", "set-aside", "undo"])),
    st.builds(
        lambda s: ("duplicate", "tool", "", {"file": "x", "sha256": f"sha-{s}", "first": s}),
        st.sampled_from("abc"),
    ),
    st.builds(lambda s: ("place", "host", "", {"scan": s, "specimen": "A", "spot": None}), SCANS),
    st.builds(lambda t: ("write", "student", "", {"text": t}), st.text(max_size=5)),
    st.builds(lambda t: ("experiment", "host", "", {"text": t}), st.text(max_size=5)),
)


@settings(max_examples=150, deadline=None)
@given(lines=st.lists(LINES, max_size=25), minute=st.integers(0, 30), shuffled=st.randoms())
def test_rewinding_is_the_same_as_never_having_known(lines, minute, shuffled):
    events = list(book(*lines))
    times = [event.time for event in events]
    shuffled.shuffle(times)  # a clock may be set back during a shift
    events = [replace(event, time=time) for event, time in zip(events, times, strict=True)]
    then = at(minute)
    earlier = replay([event for event in events if event.time <= then])
    assert replace(replay(events, until=then), until=None) == earlier


@settings(max_examples=50, deadline=None)
@given(lines=st.lists(LINES, max_size=25))
def test_the_same_events_give_the_same_state(lines):
    events = book(*lines)
    assert replay(events) == replay(iter(events))
