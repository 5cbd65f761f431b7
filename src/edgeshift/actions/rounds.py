"""Rounds in which everybody may sketch a trace before it is measured, or vote on a card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any, Literal

from edgeshift.actions.desk import Desk, by_lot
from edgeshift.actions.entering import (
    Who,
    enter,
    known_edge,
    known_specimen,
    number_given,
    reason_given,
    words,
)
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.room import Card, Round
from edgeshift.records.shift_state import ShiftState, replay

SORTS = ("guess", "vote")
LEAST_CARDS, MOST_CARDS = 2, 5
MOST_LETTERS_ABOUT = 200
MOST_LETTERS_TITLE, MOST_LETTERS_CARD = 80, 300
MOST_MINUTES = 7 * 24 * 60.0
"""A card that costs more than a week is no card for a shift."""
MOST_RATIO = 1e6


def open_guess_round(
    folder: ExperimentFolder, desk: Desk, who: Who, edge: str, specimen: str | None = None, about: str = ""
) -> Event:
    """Let everybody sketch the next trace of an edge, and of a specimen where one is named."""

    def payload(state: ShiftState) -> dict[str, Any]:
        return {
            **_opening(state, "guess", about),
            "edge": known_edge("the round", edge).name,
            "specimen": known_specimen(state, specimen) if specimen else None,
        }

    return enter(folder, desk, who, "round", payload)


def open_vote_round(
    folder: ExperimentFolder, desk: Desk, who: Who, cards: Sequence[Card], about: str = ""
) -> Event:
    """Let everybody vote on cards. They lie in the order of a lot, so that none comes first by merit."""

    def payload(state: ShiftState) -> dict[str, Any]:
        checked, seed = _cards(cards), desk.seed()
        lot = [asdict(card) for card in by_lot(checked, seed)]
        return {**_opening(state, "vote", about), "cards": lot, "seed": seed}

    return enter(folder, desk, who, "round", payload)


def close_round(folder: ExperimentFolder, desk: Desk, who: Who, name: str) -> Event:
    """Take no more sketches or votes; what was hidden until then may be seen."""

    def payload(state: ShiftState) -> dict[str, Any]:
        there = find_round(state, name)
        if not there.is_open:
            raise NoteRefused(name, "an open round", "a closed one", "There is nothing to close.")
        return {"round": name, "sort": there.sort, "state": "closed", "met": None}

    return enter(folder, desk, who, "round", payload)


def reopen_round(folder: ExperimentFolder, desk: Desk, who: Who, name: str) -> Event:
    """Undo the closing of a round. A round that a scan has closed stays closed: the trace was seen."""

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "opening a round again")
        there = find_round(state, name)
        if there.met:
            act = "Open a new round for the next trace."
            raise NoteRefused(name, "a round whose trace nobody has seen", there.met, act)
        _none_open(state, there.sort)
        return {"round": name, "sort": there.sort, "state": "open"}

    return enter(folder, desk, who, "round", payload)


def close_met_rounds(
    folder: ExperimentFolder, desk: Desk, edge: str | None, specimen: str | None, scan: str, number: int
) -> tuple[Event, ...]:
    """Close every open round of sketches that `scan` is about, which arrived in line `number`.

    A round that was opened after that line is about a trace to come. One without a specimen is about any scan
    of its edge.
    """

    def decide(events: tuple[Event, ...]) -> list[Event]:
        return [
            Event(
                0,
                desk.now(),
                "round",
                "tool",
                "the scan arrived",
                {"round": there.name, "sort": "guess", "state": "closed", "met": scan},
            )
            for there in replay(events).rounds.values()
            if there.is_open
            and there.sort == "guess"
            and there.number < number
            and there.edge == edge
            and there.specimen in (None, specimen)
        ]

    return folder.append_from(decide)


def find_round(state: ShiftState, name: str) -> Round:
    """The round of this name. Raises NoteRefused where there is none."""
    if name not in state.rounds:
        known = ", ".join(state.rounds) or "none yet"
        raise NoteRefused("the round", "one that was opened", f"{name!r}; there are {known}", "Name one.")
    return state.rounds[name]


def open_round(state: ShiftState, sort: Literal["guess", "vote"], name: str | None = None) -> Round:
    """The open round of this sort, by its name where one is given. Raises NoteRefused where it is closed."""
    for there in state.rounds.values():
        if there.is_open and there.sort == sort and name in (None, there.name):
            return there
    found = "a closed one" if name in state.rounds else "none"
    act = "Wait until the host opens the next."
    raise NoteRefused(f"the {sort}", "an open round of this sort", found, act)


def _opening(state: ShiftState, sort: Literal["guess", "vote"], about: str) -> dict[str, Any]:
    _none_open(state, sort)
    number = 1 + sum(there.sort == sort for there in state.rounds.values())
    text = words("what the round is about", about, MOST_LETTERS_ABOUT, needed=False)
    return {"round": f"{sort}-{number}", "sort": sort, "state": "open", "about": text}


def _none_open(state: ShiftState, sort: str) -> None:
    for there in state.rounds.values():
        if there.is_open and there.sort == sort:
            needed = f"no other {sort} round that is open"
            raise NoteRefused("the round", needed, there.name, f"Close {there.name} first.")


def _cards(cards: Sequence[Card]) -> list[Card]:
    if not LEAST_CARDS <= len(cards) <= MOST_CARDS:
        needed = f"{LEAST_CARDS} to {MOST_CARDS} cards"
        raise NoteRefused("the vote", needed, str(len(cards)), "Put that many on the table.")
    checked = [_card(card) for card in cards]
    if len({card.title for card in checked}) < len(checked):
        raise NoteRefused("the cards", "titles that differ", "one twice", "Give each its own title.")
    return checked


def _card(card: Card) -> Card:
    ratio = card.predicted_ratio
    return Card(
        words("the title of a card", card.title, MOST_LETTERS_TITLE),
        number_given("the minutes of a card", card.minutes, 0, MOST_MINUTES, "min"),
        words("what a card settles", card.settles, MOST_LETTERS_CARD, needed=False),
        words("what a card cannot fix", card.cannot_fix, MOST_LETTERS_CARD, needed=False),
        None if ratio is None else number_given("the ratio of a card", ratio, 0, MOST_RATIO),
    )
