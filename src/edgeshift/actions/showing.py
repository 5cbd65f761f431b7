"""What the Stage shows, and the curtain that hides which arm is which until the group commits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from edgeshift.actions.desk import Desk, by_lot
from edgeshift.actions.entering import Who, enter, experiment_of, find_scan, known_edge, reason_given
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.room import LETTERS, View
from edgeshift.records.shift_state import ShiftState

QUESTIONS = ("begin", "here", "trust", "real", "minutes", "say")
MOST_NEXT = 3
"""Moves ahead that a host keeps in sight."""


def show(folder: ExperimentFolder, desk: Desk, who: Who, now: View, then: Sequence[View] = ()) -> Event:
    """Put a question on the Stage, with up to three that come next. Another act replaces it."""

    def payload(state: ShiftState) -> dict[str, Any]:
        if len(then) > MOST_NEXT:
            needed, found = f"at most {MOST_NEXT} moves ahead", str(len(then))
            raise NoteRefused("what comes next", needed, found, "Leave the later ones for later.")
        return {"now": _view(state, now), "next": [_view(state, each) for each in then]}

    return enter(folder, desk, who, "show", payload)


def draw_curtain(folder: ExperimentFolder, desk: Desk, who: Who) -> Event:
    """Hide which arm is which: a lot says in which order the arms are called P, Q, R, S."""

    def payload(state: ShiftState) -> dict[str, Any]:
        if state.curtain is not None:
            raise NoteRefused("the curtain", "an open one", "one that is drawn", "Open it first.")
        arms = [arm.name for arm in experiment_of(state).arms]
        if not 2 <= len(arms) <= len(LETTERS):
            needed, found = f"2 to {len(LETTERS)} arms to hide", str(len(arms))
            raise NoteRefused("the curtain", needed, found, "Name the arms in experiment.yaml.")
        seed = desk.seed()
        return {"drawn": True, "lot": list(by_lot(arms, seed)), "seed": seed}

    return enter(folder, desk, who, "curtain", payload)


def open_curtain(folder: ExperimentFolder, desk: Desk, who: Who) -> Event:
    """Say which arm is which; the reason says to what the group has committed."""

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "opening the curtain")
        if state.curtain is None:
            raise NoteRefused("the curtain", "a drawn one", "an open one", "There is nothing to open.")
        return {"drawn": False}

    return enter(folder, desk, who, "curtain", payload)


def _view(state: ShiftState, view: View) -> dict[str, Any]:
    if view.question not in QUESTIONS:
        needed = f"one of {', '.join(QUESTIONS)}"
        raise NoteRefused("the question", needed, repr(view.question), "Choose one of them.")
    edge = known_edge("the Stage", view.edge).name if view.edge else None
    return {"question": view.question, "edge": edge, "compare": _two_scans(state, view.compare)}


def _two_scans(state: ShiftState, compare: Sequence[str] | None) -> list[str] | None:
    if not compare:
        return None
    scans = [find_scan(state, said) for said in compare]
    if len(set(scans)) != 2:
        raise NoteRefused("the comparison", "two scans", ", ".join(scans), "Name two that differ.")
    return scans
