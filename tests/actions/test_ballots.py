"""Seats sketch and vote while a round is open; the count waits until it is closed."""

import math

import pytest
from a_room import CARDS, GUEST, HOST, OTHER_SEAT, SEAT, SKETCH, state

from edgeshift.actions import ballots
from edgeshift.actions.ballots import count_votes, guess, vote
from edgeshift.actions.rounds import close_round, open_guess_round, open_vote_round
from edgeshift.errors import NoteRefused


def test_a_later_sketch_of_a_seat_replaces_its_earlier_one(folder, desk):
    open_guess_round(folder, desk, HOST, "Al K")
    guess(folder, desk, GUEST, SKETCH, SEAT)
    guess(folder, desk, GUEST, [(1560.00004, 0.0), (1570.0, 0.300049)], SEAT)
    guess(folder, desk, GUEST, SKETCH, OTHER_SEAT, "guess-1")
    guesses = state(folder).rounds["guess-1"].guesses
    assert guesses[SEAT].points == [[1560.0, 0.0], [1570.0, 0.3]]
    assert guesses[OTHER_SEAT].points == [list(point) for point in SKETCH]


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (SKETCH[:1], "the sketch: needed 2 to 400 points, found 1"),
        ([(1500 + i / 10, 0.0) for i in range(401)], "the sketch: needed 2 to 400 points, found 401"),
        (SKETCH[::-1], "the sketch: needed energies that rise from point to point"),
        ([(1560.0, 0.0), (1560.0001, 1.0)], "the sketch: needed energies that rise"),
        ([(1560.0, 0.0), (math.nan, 1.0)], "an energy of the sketch: needed a number from 559 to 2562 eV"),
        ([(1560.0, 0.0), (4000.0, 1.0)], "an energy of the sketch: needed a number from 559 to 2562 eV"),
        ([(1560.0, 0.0), (1570.0, math.inf)], "a height of the sketch: needed a number from -1000 to 1000"),
        ([(1560.0, 0.0), (1570.0, 1e300)], "a height of the sketch: needed a number from -1000 to 1000"),
        ([(1560.0, 0.0), (1570.0, "up")], "a height of the sketch: needed a number from -1000 to 1000"),
        ([(1560.0, 0.0), (1570.0,)], "the sketch: needed an energy and a height at each point"),
    ],
)
def test_a_sketch_that_is_none_is_refused(folder, desk, points, words):
    open_guess_round(folder, desk, HOST, "Al K")
    with pytest.raises(NoteRefused, match=words):
        guess(folder, desk, GUEST, points, SEAT)
    assert state(folder).rounds["guess-1"].guesses == {}


def test_a_closed_round_takes_no_sketch_and_no_vote(folder, desk):
    with pytest.raises(NoteRefused, match="the guess: needed an open round of this sort, found none. Wait"):
        guess(folder, desk, GUEST, SKETCH, SEAT)
    open_guess_round(folder, desk, HOST, "Al K")
    open_vote_round(folder, desk, HOST, CARDS)
    close_round(folder, desk, HOST, "guess-1")
    close_round(folder, desk, HOST, "vote-1")
    with pytest.raises(NoteRefused, match="the guess: needed an open round of this sort, found a closed one"):
        guess(folder, desk, GUEST, SKETCH, SEAT, "guess-1")
    with pytest.raises(NoteRefused, match="the vote: needed an open round of this sort, found a closed one"):
        vote(folder, desk, GUEST, "one more pot", SEAT, "vote-1")


def test_a_name_is_no_seat(folder, desk):
    open_guess_round(folder, desk, HOST, "Al K")
    with pytest.raises(NoteRefused, match="the seat: needed 8 to 64 hexadecimal digits"):
        guess(folder, desk, GUEST, SKETCH, "the tall one")


def test_votes_are_counted_once_the_round_is_closed(folder, desk):
    open_vote_round(folder, desk, HOST, CARDS)
    for seat, card in ((SEAT, "one more pot"), (OTHER_SEAT, "one more pot"), (SEAT, "stop and write")):
        vote(folder, desk, GUEST, card, seat)
    with pytest.raises(NoteRefused, match="vote-1: needed a closed round of votes, found an open one"):
        count_votes(state(folder), "vote-1")
    close_round(folder, desk, HOST, "vote-1")
    counted = count_votes(state(folder), "vote-1")
    assert counted == {"one more pot": 1, "stop and write": 1}
    assert list(counted) == [card.title for card in state(folder).rounds["vote-1"].cards]


def test_a_card_that_nobody_voted_for_counts_none(folder, desk):
    open_vote_round(folder, desk, HOST, CARDS)
    vote(folder, desk, GUEST, "stop and write", SEAT)
    close_round(folder, desk, HOST, "vote-1")
    assert count_votes(state(folder), "vote-1") == {"one more pot": 0, "stop and write": 1}


def test_sketches_have_no_count(folder, desk):
    open_guess_round(folder, desk, HOST, "Al K")
    close_round(folder, desk, HOST, "guess-1")
    with pytest.raises(
        NoteRefused, match="guess-1: needed a closed round of votes, found a round of sketches"
    ):
        count_votes(state(folder), "guess-1")


def test_a_vote_is_for_a_card_on_the_table(folder, desk):
    open_vote_round(folder, desk, HOST, CARDS)
    with pytest.raises(NoteRefused, match="the card: needed one of vote-1, found 'go home'"):
        vote(folder, desk, GUEST, "go home", SEAT)


def test_a_seat_may_change_its_mind_so_often_and_no_more(folder, desk, monkeypatch):
    monkeypatch.setattr(ballots, "MOST_TRIES", 2)
    open_vote_round(folder, desk, HOST, CARDS)
    for card in ("one more pot", "stop and write"):
        vote(folder, desk, GUEST, card, SEAT)
    with pytest.raises(
        NoteRefused, match="this seat: needed at most 2 tries in a round.*The last one stands"
    ):
        vote(folder, desk, GUEST, "one more pot", SEAT)
    vote(folder, desk, GUEST, "one more pot", OTHER_SEAT)


def test_a_room_holds_so_many_seats(folder, desk, monkeypatch):
    monkeypatch.setattr(ballots, "MOST_SEATS", 1)
    open_guess_round(folder, desk, HOST, "Al K")
    guess(folder, desk, GUEST, SKETCH, SEAT)
    with pytest.raises(NoteRefused, match="this room: needed at most 1 seats in a round, found one more"):
        guess(folder, desk, GUEST, SKETCH, OTHER_SEAT)
    guess(folder, desk, GUEST, SKETCH[:2], SEAT)
