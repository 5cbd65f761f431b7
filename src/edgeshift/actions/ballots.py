"""What a seat sends into a round: a sketch of the next trace, or a vote for a card; and the count."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import (
    Who,
    enter,
    known_edge,
    new_seat,
    number_given,
    role_given,
    seat_given,
    words,
)
from edgeshift.actions.rounds import find_round, open_round
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.room import Round
from edgeshift.records.shift_state import ShiftState, replay

LEAST_POINTS, MOST_POINTS = 2, 400
AWAY_EV = 1000.0
"""A sketch lies so near to its edge: as far as scans of one edge reach (common practice, no source)."""
MOST_HEIGHT = 1000.0
"""In whatever the sketch is drawn in, edge steps as a rule; a higher one would hide all the others."""
DECIMALS = 3, 4
"""Of an energy in eV and of a height: a finger on a phone is no finer."""
MOST_TRIES = 30
"""So often a seat may change its mind in one round."""
MOST_SEATS = 200
"""A room of more people is no group at a beamline."""

Points = Sequence[tuple[float, float]]


def guess(
    folder: ExperimentFolder, desk: Desk, who: Who, points: Points, by: str, name: str | None = None
) -> Event:
    """Sketch the next trace as points of energy (eV, rising) and height; replaces the seat's earlier one.

    `by` is the key of a seat; `name` the round, None for the one that is open.
    """

    def payload(state: ShiftState) -> dict[str, Any]:
        seat = seat_given(by)
        there = open_round(state, "guess", name)
        _room_left(there, seat)
        return {"round": there.name, "points": _points(points, there.edge), "by": seat}

    return enter(folder, desk, who, "guess", payload)


def vote(
    folder: ExperimentFolder, desk: Desk, who: Who, card: str, by: str, name: str | None = None
) -> Event:
    """Vote for a card by its title; replaces the seat's earlier vote in this round."""

    def payload(state: ShiftState) -> dict[str, Any]:
        seat = seat_given(by)
        there = open_round(state, "vote", name)
        _room_left(there, seat)
        titles = [each.title for each in there.cards]
        if card not in titles:
            # The cards are not listed here: a curtain may be drawn.
            raise NoteRefused("the card", f"one of {there.name}", repr(card)[:40], "Choose one of them.")
        return {"round": there.name, "card": card, "by": seat}

    return enter(folder, desk, who, "vote", payload)


def paper_votes(
    folder: ExperimentFolder, desk: Desk, who: Who, counts: Mapping[str, int], name: str | None = None
) -> Event:
    """Enter what was voted on paper: sheets for each card, by title. Returns the last event written.

    Each sheet becomes a seat drawn anew. A later count of the same round takes the place of an earlier one.
    """
    role, reason = role_given(who), words("the reason", who.reason, needed=False)

    def decide(events: tuple[Event, ...]) -> list[Event]:
        there = open_round(replay(events), "vote", name)
        sheets = _sheets(there, counts)
        gone = [(seat, None) for seat in sorted(there.paper)]
        fresh = [(new_seat(desk), card) for card in sheets]
        return [
            Event(0, desk.now(), "vote", role, reason,
                  {"round": there.name, "card": card, "by": seat, "paper": True})
            for seat, card in (*gone, *fresh)
        ]  # fmt: skip

    return folder.append_from(decide)[-1]


def _sheets(there: Round, counts: Mapping[str, int]) -> list[str]:
    """The card of each sheet, in the order of the cards."""
    titles = [card.title for card in there.cards]
    if not set(counts) <= set(titles):
        raise NoteRefused("the card", f"one of {there.name}", "another", "Choose one of them.")
    known = {title: _whole(counts.get(title, 0)) for title in titles}
    seats = len(set(there.tries) - set(there.paper)) + sum(known.values())
    if seats > MOST_SEATS or not (sum(known.values()) or there.paper):
        needed, found = f"1 to {MOST_SEATS} votes in a round", str(seats)
        raise NoteRefused("the paper ballots", needed, found, "Count again.")
    return [title for title, number in known.items() for _ in range(number)]


def _whole(said: int) -> int:
    if type(said) is not int or not 0 <= said <= MOST_SEATS:
        needed = f"a whole number from 0 to {MOST_SEATS}"
        raise NoteRefused("the count of a card", needed, repr(said)[:40], "Count its sheets.")
    return said


def count_votes(state: ShiftState, name: str) -> dict[str, int]:
    """How many seats chose each card of a round, in the order in which its cards lay.

    Raises NoteRefused while the round is open: a count that people see while voting sways them.
    """
    there = find_round(state, name)
    if there.sort != "vote" or there.is_open:
        found = "an open one" if there.is_open else "a round of sketches"
        raise NoteRefused(name, "a closed round of votes", found, "Close the vote first.")
    chosen = list(there.votes.values())
    return {card.title: chosen.count(card.title) for card in there.cards}


def _room_left(there: Round, seat: str) -> None:
    if there.tries.get(seat, 0) >= MOST_TRIES:
        needed, found = f"at most {MOST_TRIES} tries in a round", "one more"
        raise NoteRefused("this seat", needed, found, "The last one stands.")
    if seat not in there.tries and len(there.tries) >= MOST_SEATS:
        needed, found = f"at most {MOST_SEATS} seats in a round", "one more"
        raise NoteRefused("this room", needed, found, "Ask the host.")


def _points(points: Points, edge: str | None) -> list[list[float]]:
    if not LEAST_POINTS <= len(points) <= MOST_POINTS:
        needed = f"{LEAST_POINTS} to {MOST_POINTS} points"
        raise NoteRefused("the sketch", needed, str(len(points)), "Draw it from left to right.")
    if any(len(point) != 2 for point in points):
        raise NoteRefused("the sketch", "an energy and a height at each point", "other points", "Draw again.")
    low, high = _reach(edge)
    found = [
        [
            round(number_given("an energy of the sketch", energy, low, high, "eV"), DECIMALS[0]),
            round(number_given("a height of the sketch", height, -MOST_HEIGHT, MOST_HEIGHT), DECIMALS[1]),
        ]
        for energy, height in points
    ]
    if any(after <= before for (before, _), (after, _) in zip(found, found[1:], strict=False)):
        needed, act = "energies that rise from point to point", "Draw it from left to right."
        raise NoteRefused("the sketch", needed, "some that do not", act)
    return found


def _reach(edge: str | None) -> tuple[float, float]:
    """Between which energies (eV) a sketch of this edge may lie."""
    edges = known_edge("the sketch", edge or "").edges
    low, high = min(each.low_ev for each in edges), max(each.high_ev for each in edges)
    return math.floor(low - AWAY_EV), math.ceil(high + AWAY_EV)
