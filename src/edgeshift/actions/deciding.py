"""What the group decides: how to spend its minutes, and which worry it accepts."""

from __future__ import annotations

from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who, enter, number_given, reason_given, words
from edgeshift.actions.rounds import MOST_LETTERS_TITLE, MOST_MINUTES, find_round
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.shift_state import ShiftState

MOST_LETTERS_KEY = 200


def decide(
    folder: ExperimentFolder,
    desk: Desk,
    who: Who,
    card: str,
    minutes: float | None = None,
    name: str | None = None,
) -> Event:
    """Spend minutes on a card: one of the closed round `name`, or any title where no round was held.

    Minutes that are not said are those of the card.
    """

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "the decision")
        title, price = words("the card", card, MOST_LETTERS_TITLE), minutes
        if name is not None:
            on_card = _price(state, name, title)
            price = on_card if minutes is None else minutes
        if price is None:
            raise NoteRefused("the decision", "its minutes", "none", "Say how many it may take.")
        spent = number_given("the minutes", price, 0, MOST_MINUTES, "min")
        return {"round": name, "card": title, "minutes": spent}

    return enter(folder, desk, who, "decide", payload)


def undo_decision(folder: ExperimentFolder, desk: Desk, who: Who, number: int) -> Event:
    """Take the decision of a line back."""

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "taking a decision back")
        if all(each.number != number for each in state.decisions):
            needed, act = "a decision that stands", "Name it by its line in the book."
            raise NoteRefused(f"line {number}", needed, "none", act)
        return {"undo": number}

    return enter(folder, desk, who, "decide", payload)


def accept(folder: ExperimentFolder, desk: Desk, who: Who, worry: str) -> Event:
    """Live with a worry, because. `worry` is its key."""

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "accepting a worry")
        return {"worry": words("the worry", worry, MOST_LETTERS_KEY)}

    return enter(folder, desk, who, "accept", payload)


def undo_accept(folder: ExperimentFolder, desk: Desk, who: Who, worry: str) -> Event:
    """Worry again."""

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "worrying again")
        if worry not in state.accepted:
            needed, act = "a worry that was accepted", "There is nothing to undo."
            raise NoteRefused("the worry", needed, repr(worry)[:MOST_LETTERS_KEY], act)
        return {"worry": worry, "undo": True}

    return enter(folder, desk, who, "accept", payload)


def _price(state: ShiftState, name: str, title: str) -> float:
    """The minutes of a card in a round of votes that is closed."""
    there = find_round(state, name)
    if there.is_open or there.sort != "vote":
        found = "an open one" if there.is_open else "a round of sketches"
        raise NoteRefused(name, "a closed round of votes", found, "Close the vote, then decide.")
    minutes = {card.title: card.minutes for card in there.cards}
    if title not in minutes:
        found = f"{title!r}; there are {', '.join(minutes)}"
        raise NoteRefused("the card", f"one of {name}", found, "Choose one of them.")
    return minutes[title]
