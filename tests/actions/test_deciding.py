"""Decisions and accepted worries say why, and are taken back by another line."""

import pytest
from a_room import CARDS, HOST, state

from edgeshift.actions.deciding import accept, decide, undo_accept, undo_decision
from edgeshift.actions.entering import Who
from edgeshift.actions.rounds import close_round, open_guess_round, open_vote_round
from edgeshift.errors import NoteRefused


def test_a_decision_takes_the_minutes_of_its_card(folder, desk):
    open_vote_round(folder, desk, HOST, CARDS)
    with pytest.raises(NoteRefused, match="vote-1: needed a closed round of votes, found an open one"):
        decide(folder, desk, HOST, "one more pot", name="vote-1")
    close_round(folder, desk, HOST, "vote-1")
    decide(folder, desk, Who("student", "the fire matters most"), "one more pot", name="vote-1")
    decide(folder, desk, HOST, "one more pot", 40, "vote-1")
    assert [(d.card, d.minutes, d.round, d.role) for d in state(folder).decisions] == [
        ("one more pot", 24.0, "vote-1", "student"),
        ("one more pot", 40.0, "vote-1", "host"),
    ]


def test_a_decision_without_a_round_says_its_minutes(folder, desk):
    decide(folder, desk, HOST, "stop and write", 30)
    assert state(folder).decisions[0].round is None
    with pytest.raises(NoteRefused, match="the decision: needed its minutes, found none"):
        decide(folder, desk, HOST, "stop and write")


@pytest.mark.parametrize(
    ("who", "card", "minutes", "name", "words"),
    [
        (Who("host"), "x", 1, None, "the decision: needed a reason, found none"),
        (HOST, " ", 1, None, "the card: needed some words, found none"),
        (HOST, "x", -1, None, "the minutes: needed a number from 0 to 10080 min, found -1"),
        (HOST, "x", 1, "vote-9", "the round: needed one that was opened, found 'vote-9'"),
        (HOST, "x", 1, "vote-1", "the card: needed one of vote-1, found 'x'; there are"),
        (HOST, "x", 1, "guess-1", "guess-1: needed a closed round of votes, found a round of sketches"),
    ],
)
def test_what_is_no_decision_is_refused(folder, desk, who, card, minutes, name, words):
    open_vote_round(folder, desk, HOST, CARDS)
    open_guess_round(folder, desk, HOST, "Al K")
    close_round(folder, desk, HOST, "vote-1")
    close_round(folder, desk, HOST, "guess-1")
    with pytest.raises(NoteRefused, match=words):
        decide(folder, desk, who, card, minutes, name)


def test_a_decision_is_taken_back_by_another_line(folder, desk):
    number = decide(folder, desk, HOST, "stop and write", 30).number
    with pytest.raises(NoteRefused, match="taking a decision back: needed a reason, found none"):
        undo_decision(folder, desk, Who("host"), number)
    undo_decision(folder, desk, HOST, number)
    assert state(folder).decisions == ()
    with pytest.raises(NoteRefused, match=f"line {number}: needed a decision that stands, found none"):
        undo_decision(folder, desk, HOST, number)


def test_a_worry_is_accepted_because_and_worried_about_again(folder, desk):
    with pytest.raises(NoteRefused, match="accepting a worry: needed a reason, found none"):
        accept(folder, desk, Who("host"), "scan-001/spike")
    accept(folder, desk, HOST, "scan-001/spike")
    assert state(folder).accepted["scan-001/spike"].reason == HOST.reason
    with pytest.raises(NoteRefused, match="worrying again: needed a reason, found none"):
        undo_accept(folder, desk, Who("host"), "scan-001/spike")
    undo_accept(folder, desk, HOST, "scan-001/spike")
    assert state(folder).accepted == {}
    with pytest.raises(
        NoteRefused, match="the worry: needed a worry that was accepted, found 'scan-001/spike'"
    ):
        undo_accept(folder, desk, HOST, "scan-001/spike")


def test_the_key_of_a_worry_is_short(folder, desk):
    with pytest.raises(NoteRefused, match="the worry: needed at most 200 letters, found 201"):
        accept(folder, desk, HOST, "x" * 201)
