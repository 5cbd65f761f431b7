"""The group's own words for the slots of what goes home: kept letter by letter, the last of a slot stands."""

from __future__ import annotations

from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who, enter, words
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.room import SLOTS
from edgeshift.records.shift_state import ShiftState

MOST_LETTERS = {"title": 120, "thanks": 300}
"""A title is read in one breath, thanks in two lines of a poster."""
MOST_LETTERS_SLOT = 600
"""Of every other slot: about as much as fits beside a figure."""


def write_words(folder: ExperimentFolder, desk: Desk, who: Who, slot: str, text: str) -> Event:
    """Fill a slot with the group's own words; what stood there before stays in the book.

    Raises NoteRefused for a slot that is not there, and for no words or too many.
    """

    def payload(_: ShiftState) -> dict[str, Any]:
        if slot not in SLOTS:
            raise NoteRefused(
                "the slot", f"one of {', '.join(SLOTS)}", repr(slot)[:40], "Choose one of them."
            )
        return {"slot": slot, "text": words("the words", text, MOST_LETTERS.get(slot, MOST_LETTERS_SLOT))}

    return enter(folder, desk, who, "words", payload)


def undo_words(folder: ExperimentFolder, desk: Desk, who: Who, number: int) -> Event:
    """Take the words of a line back; those that stood in their slot before come back."""

    def payload(state: ShiftState) -> dict[str, Any]:
        if number not in {each.number for each in state.words}:
            act = "Name them by their line in the book."
            raise NoteRefused(f"line {number}", "words that stand in a slot", "none", act)
        return {"undo": number}

    return enter(folder, desk, who, "words", payload)
