"""The host opens and closes rounds; a scan that arrives closes the sketches it answers."""

import pytest
from a_room import CARDS, GUEST, HOST, SEAT, SKETCH, begun, state

from edgeshift.actions.ballots import guess
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.rounds import (
    close_met_rounds,
    close_round,
    open_guess_round,
    open_vote_round,
    reopen_round,
)
from edgeshift.errors import NoteRefused
from edgeshift.records.room import Card

NEXT = 1000
"""A line of the book after every other."""


def test_rounds_are_counted_by_sort(folder, desk):
    names = [
        open_guess_round(folder, desk, HOST, "Al K", about=" the fired pot ").payload["round"],
        open_vote_round(folder, desk, HOST, CARDS).payload["round"],
    ]
    close_round(folder, desk, HOST, "guess-1")
    names.append(open_guess_round(folder, desk, HOST, "Fe L", "A-raw").payload["round"])
    assert names == ["guess-1", "vote-1", "guess-2"]
    rounds = state(folder).rounds
    assert (rounds["guess-1"].about, rounds["guess-1"].is_open) == ("the fired pot", False)
    assert (rounds["guess-2"].edge, rounds["guess-2"].specimen) == ("Fe L", "A-raw")


def test_only_one_round_of_a_sort_is_open(folder, desk):
    open_guess_round(folder, desk, HOST, "Al K")
    with pytest.raises(NoteRefused, match="needed no other guess round.*found guess-1. Close guess-1 first"):
        open_guess_round(folder, desk, HOST, "Fe L")


def test_the_faces_of_the_cards_lie_by_lot(tmp_path):
    firsts = set()
    for seed in range(8):
        desk = steady_desk(seed=seed)
        with begun(tmp_path / str(seed), desk) as folder:
            assert open_vote_round(folder, desk, HOST, CARDS).payload["seed"] == seed
            cards = state(folder).rounds["vote-1"].cards
            assert set(cards) == {Card("one more pot", 24.0, "the pots", "the fire", 0.7), CARDS[1]}
            firsts.add(cards[0].title)
    assert firsts == {"one more pot", "stop and write"}


@pytest.mark.parametrize(
    ("cards", "words"),
    [
        (CARDS[:1], "the vote: needed 2 to 5 cards, found 1"),
        (CARDS * 3, "the vote: needed 2 to 5 cards, found 6"),
        (CARDS[:1] * 2, "the cards: needed titles that differ, found one twice"),
        ((Card("", 1.0), *CARDS), "the title of a card: needed some words, found none"),
        ((Card("x" * 81, 1.0), *CARDS), "the title of a card: needed at most 80 letters, found 81"),
        ((Card("x", float("nan")), *CARDS), "the minutes of a card: needed a number from 0 to 10080 min"),
        ((Card("x", 1.0, "y" * 301), *CARDS), "what a card settles: needed at most 300 letters"),
        ((Card("x", 1.0, predicted_ratio=-1.0), *CARDS), "the ratio of a card: needed a number from 0"),
    ],
)
def test_cards_that_nobody_could_choose_from_are_refused(folder, desk, cards, words):
    with pytest.raises(NoteRefused, match=words):
        open_vote_round(folder, desk, HOST, cards)


@pytest.mark.parametrize(
    ("edge", "specimen", "about", "words"),
    [
        ("Zz K", None, "", r"the round \(edge\): needed an element and a shell"),
        ("Al K", "C-raw", "", "the specimen: needed one of the experiment text, found 'C-raw'"),
        ("Al K", None, "x" * 201, "what the round is about: needed at most 200 letters"),
    ],
)
def test_a_round_about_nothing_is_refused(folder, desk, edge, specimen, about, words):
    with pytest.raises(NoteRefused, match=words):
        open_guess_round(folder, desk, HOST, edge, specimen, about)


@pytest.mark.parametrize(
    ("specimen", "scan_of", "closes"),
    [
        (None, ("Al K", "A-raw"), True),
        (None, ("Al K", None), True),
        ("A-raw", ("Al K", "A-raw"), True),
        ("A-raw", ("Al K", "B-fired"), False),
        ("A-raw", ("Al K", None), False),
        (None, ("Fe L", "A-raw"), False),
    ],
)
def test_a_scan_closes_the_sketches_that_it_answers(folder, desk, specimen, scan_of, closes):
    open_guess_round(folder, desk, HOST, "Al K", specimen)
    open_vote_round(folder, desk, HOST, CARDS)
    closed = close_met_rounds(folder, desk, *scan_of, "scan-002", NEXT)
    assert [event.role for event in closed] == ["tool"] * closes
    rounds = state(folder).rounds
    assert (rounds["guess-1"].is_open, rounds["guess-1"].met) == (not closes, "scan-002" if closes else None)
    assert rounds["vote-1"].is_open
    assert close_met_rounds(folder, desk, *scan_of, "scan-003", NEXT) == ()


def test_a_scan_that_came_before_the_round_was_opened_does_not_close_it(folder, desk):
    opened = open_guess_round(folder, desk, HOST, "Al K")
    assert close_met_rounds(folder, desk, "Al K", None, "scan-001", opened.number - 1) == ()
    assert state(folder).rounds["guess-1"].is_open


def test_closing_is_undone_with_a_reason_and_keeps_what_was_sent(folder, desk):
    open_guess_round(folder, desk, HOST, "Al K")
    guess(folder, desk, GUEST, SKETCH, SEAT)
    close_round(folder, desk, Who("host"), "guess-1")
    with pytest.raises(NoteRefused, match="opening a round again: needed a reason, found none"):
        reopen_round(folder, desk, Who("host"), "guess-1")
    reopen_round(folder, desk, Who("host", "the wrong key"), "guess-1")
    there = state(folder).rounds["guess-1"]
    assert (there.is_open, there.reopened, list(there.guesses)) == (True, True, [SEAT])


def test_a_round_whose_trace_was_seen_stays_closed(folder, desk):
    open_guess_round(folder, desk, HOST, "Al K")
    close_met_rounds(folder, desk, "Al K", None, "scan-002", NEXT)
    with pytest.raises(
        NoteRefused, match="guess-1: needed a round whose trace nobody has seen, found scan-0"
    ):
        reopen_round(folder, desk, HOST, "guess-1")


def test_a_round_is_not_opened_again_beside_another(folder, desk):
    open_guess_round(folder, desk, HOST, "Al K")
    close_round(folder, desk, HOST, "guess-1")
    open_guess_round(folder, desk, HOST, "Al K")
    for name in ("guess-1", "guess-2"):
        with pytest.raises(NoteRefused, match="found guess-2. Close guess-2 first"):
            reopen_round(folder, desk, HOST, name)


def test_what_is_not_open_cannot_be_closed(folder, desk):
    with pytest.raises(
        NoteRefused, match="the round: needed one that was opened, found 'vote-1'; there are no"
    ):
        close_round(folder, desk, HOST, "vote-1")
    open_vote_round(folder, desk, HOST, CARDS)
    close_round(folder, desk, HOST, "vote-1")
    with pytest.raises(NoteRefused, match="vote-1: needed an open round, found a closed one"):
        close_round(folder, desk, HOST, "vote-1")
