"""Questions to the host that nobody has to put a voice to: no seat, no role but that of a guest."""

from __future__ import annotations

from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who, enter, words
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.shift_state import ShiftState

MOST_LETTERS_SHY = 280
MOST_WAITING = 100
"""Questions that nobody has heard yet; a host who stands at a beam reads no more."""


def ask_shyly(folder: ExperimentFolder, desk: Desk, who: Who, text: str) -> Event:
    """Ask the host something; nothing says who asked."""

    def payload(state: ShiftState) -> dict[str, Any]:
        if sum(not each.heard for each in state.shy) >= MOST_WAITING:
            needed = f"at most {MOST_WAITING} questions that wait"
            raise NoteRefused("the question", needed, "one more", "Wait until the host has heard some.")
        return {"text": words("the question", text, MOST_LETTERS_SHY)}

    return enter(folder, desk, who, "shy", payload)


def hear(folder: ExperimentFolder, desk: Desk, who: Who, number: int) -> Event:
    """Say that the question of a line was heard."""

    def payload(state: ShiftState) -> dict[str, Any]:
        if all(each.number != number or each.heard for each in state.shy):
            needed, act = "a question that waits", "Name it by its line in the book."
            raise NoteRefused(f"line {number}", needed, "none", act)
        return {"heard": number}

    return enter(folder, desk, who, "shy", payload)
