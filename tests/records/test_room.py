"""What people do in the room is replayed from the book alone, to any moment."""

import pytest

from edgeshift.records.event import KINDS, Event
from edgeshift.records.room import ENTER_ROOM, Acceptance, Card, Guess, View
from edgeshift.records.shift_state import replay

CARDS = [{"title": "one more pot", "minutes": 24.0, "settles": "the pots", "cannot_fix": "the fire"}]
OPEN_VOTE = {"round": "vote-1", "sort": "vote", "state": "open", "cards": CARDS, "seed": 1}
OPEN_GUESS = {"round": "guess-1", "sort": "guess", "state": "open", "edge": "Al K", "about": "the fired pot"}
CLAIM = {"claim": "less of it", "evidence": "three pairs", "reason": "beyond scatter", "level": 3}


def at(minute: int) -> str:
    return f"2026-03-01T08:{minute:02d}:00.000Z"


def book(*lines: tuple[str, dict]) -> tuple[Event, ...]:
    return tuple(
        Event(number, at(number), kind, "host", "why", payload)
        for number, (kind, payload) in enumerate(lines, start=1)
    )


def sketch(seat: str, height: float, name: str = "guess-1") -> tuple[str, dict]:
    return ("guess", {"round": name, "points": [[1560.0, 0.0], [1570.0, height]], "by": seat})


def vote(seat: str, name: str = "vote-1") -> tuple[str, dict]:
    return ("vote", {"round": name, "card": "one more pot", "by": seat})


def test_every_kind_of_the_room_is_a_kind_of_the_book():
    assert set(ENTER_ROOM) <= set(KINDS)


def test_what_is_shown_last_is_shown():
    first = {"now": {"question": "trust"}, "next": []}
    then = {
        "now": {"question": "trust", "edge": None, "compare": ["scan-001", "scan-002"]},
        "next": [{"question": "real", "edge": "Al K"}],
    }
    shown = replay(book(("show", first), ("show", then))).shown
    assert shown.now == View("trust", None, ("scan-001", "scan-002"))
    assert shown.next == (View("real", "Al K"),)


def test_rewinding_to_a_drawn_curtain_finds_it_drawn():
    events = book(("curtain", {"drawn": True, "lot": ["fired", "raw"]}), ("curtain", {"drawn": False}))
    assert replay(events).curtain is None
    assert replay(events, until=at(1)).curtain == ("fired", "raw")


def test_the_last_sketch_of_a_seat_stands_and_every_try_counts():
    state = replay(book(("round", OPEN_GUESS), sketch("a", 1.0), sketch("b", 2.0), sketch("a", 3.0)))
    there = state.rounds["guess-1"]
    assert there.guesses["a"] == Guess("a", [[1560.0, 0.0], [1570.0, 3.0]], at(4), 4)
    assert (len(there.guesses), there.tries) == (2, {"a": 2, "b": 1})


def test_a_round_that_is_closed_takes_nothing_more():
    closed = {"round": "guess-1", "sort": "guess", "state": "closed", "met": "scan-004"}
    there = replay(book(("round", OPEN_GUESS), ("round", closed), sketch("a", 1.0))).rounds["guess-1"]
    assert (there.is_open, there.closed, there.met, there.guesses) == (False, at(2), "scan-004", {})


def test_a_round_that_is_opened_again_keeps_its_votes_and_says_so():
    closed = {"round": "vote-1", "sort": "vote", "state": "closed"}
    again = {**closed, "state": "open"}
    there = replay(book(("round", OPEN_VOTE), vote("a"), ("round", closed), ("round", again))).rounds[
        "vote-1"
    ]
    assert (there.is_open, there.reopened, there.votes) == (True, True, {"a": "one more pot"})
    assert there.cards == (Card("one more pot", 24.0, "the pots", "the fire"),)


def test_every_claim_is_kept_and_knows_what_was_said_instead():
    lines = (("claim", CLAIM), ("claim", {**CLAIM, "level": 2, "instead_of": 1}), ("claim", {"take_back": 2}))
    before, after = replay(book(*lines[:2])).claims, replay(book(*lines)).claims
    assert [(c.number, c.level, c.replaced_by, c.stands) for c in before] == [
        (1, 3, 2, False),
        (2, 2, None, True),
    ]
    assert [c.stands for c in after] == [False, False]


def test_a_decision_and_an_acceptance_are_undone_by_another_line():
    decided = ("decide", {"round": None, "card": "stop and write", "minutes": 30.0})
    accepted = ("accept", {"worry": "scan-003/spike"})
    state = replay(book(decided, accepted))
    assert (state.decisions[0].card, state.decisions[0].reason) == ("stop and write", "why")
    assert state.accepted == {"scan-003/spike": Acceptance("scan-003/spike", "host", "why", at(2))}
    undone = (("decide", {"undo": 1}), ("accept", {"worry": "scan-003/spike", "undo": True}))
    state = replay(book(decided, accepted, *undone))
    assert (state.decisions, state.accepted) == ((), {})


def test_a_shy_question_stays_until_it_was_heard():
    events = book(("shy", {"text": "what is an edge?"}), ("shy", {"heard": 1}))
    assert [(q.text, q.heard) for q in replay(events).shy] == [("what is an edge?", True)]
    assert not replay(events, until=at(1)).shy[0].heard


@pytest.mark.parametrize(
    "line",
    [
        sketch("a", 1.0, "guess-7"),
        vote("a", "vote-7"),
        ("vote", {"card": 2}),
        ("round", {"round": "vote-7", "sort": "vote", "state": "closed"}),
        ("claim", {"take_back": 9}),
        ("decide", {"undo": 9}),
        ("accept", {"worry": "none", "undo": True}),
        ("shy", {"heard": 9}),
    ],
)
def test_a_line_about_what_is_not_there_changes_nothing(line):
    state = replay(book(line))
    assert (state.rounds, state.claims, state.decisions, state.accepted, state.shy) == ({}, (), (), {}, ())


def test_the_last_words_of_a_slot_stand_and_undoing_them_brings_back_the_ones_before():
    lines = (
        ("words", {"slot": "title", "text": "Fire"}),
        ("words", {"slot": "title", "text": "Fire and clay"}),
        ("words", {"undo": 2}),
    )
    before, after = replay(book(*lines[:2])).words, replay(book(*lines)).words
    assert [(one.number, one.slot, one.text) for one in before] == [
        (1, "title", "Fire"),
        (2, "title", "Fire and clay"),
    ]
    assert [one.text for one in after] == ["Fire"]


def test_words_for_a_slot_of_a_later_version_change_nothing():
    assert replay(book(("words", {"slot": "motto", "text": "Fire"}))).words == ()
