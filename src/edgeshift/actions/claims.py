"""What the group says aloud, in its own words; the tool reads none of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who, enter, experiment_of, known_edge, reason_given, seat_given, words
from edgeshift.actions.note import checked_feature
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.room import Claim
from edgeshift.records.shift_state import ShiftState

MOST_LETTERS_CLAIM = 280
MOST_LETTERS_GROUNDS = 600
MOST_CLAIMS = 40
"""Of one seat in one shift, those taken back included."""
LEVELS = range(7)


@dataclass(frozen=True)
class Said:
    """A claim as somebody says it: their words, the evidence, why it follows, and what kind of claim it is.

    `unless` is what would overturn it. `level` is 0 to 6; `feature` is {"kind", "windows"[, "words"]} as in
    the experiment text, or None; `higher` the arm in which its number is said to be the larger one.
    """

    claim: str
    level: int
    evidence: str = ""
    reason: str = ""
    edge: str | None = None
    feature: Mapping[str, Any] | None = None
    arms: Sequence[str] = ()
    unless: str = ""
    higher: str | None = None


def claim(
    folder: ExperimentFolder,
    desk: Desk,
    who: Who,
    said: Said,
    by: str | None = None,
    instead_of: int | None = None,
) -> Event:
    """Say something aloud. Every claim is kept; `instead_of` is the line of one that it takes the place of.

    `by` is the key of a seat, None where the group speaks.
    """

    def payload(state: ShiftState) -> dict[str, Any]:
        seat = seat_given(by) if by is not None else None
        _room_left(state, seat)
        if instead_of is not None:
            _of_the_same(state, who, seat, instead_of)
        return {**_checked(state, said), "by": seat, "instead_of": instead_of}

    return enter(folder, desk, who, "claim", payload)


def take_back_claim(
    folder: ExperimentFolder, desk: Desk, who: Who, number: int, by: str | None = None
) -> Event:
    """Take the claim of a line back; it stays in the book. A student takes back those of their own seat."""

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "taking a claim back")
        _of_the_same(state, who, by, number)
        return {"take_back": number}

    return enter(folder, desk, who, "claim", payload)


def _checked(state: ShiftState, said: Said) -> dict[str, Any]:
    if type(said.level) is not int or said.level not in LEVELS:
        raise NoteRefused("the claim level", "0 to 6", repr(said.level)[:40], "Choose one from the ladder.")
    if said.feature is not None and not said.edge:
        raise NoteRefused("the claim", "the edge of its feature", "none", "Name the edge.")
    edge = known_edge("the claim", said.edge).name if said.edge else None
    feature = checked_feature(edge, said.feature, None)["feature"] if said.feature is not None else None
    return {
        "claim": words("the claim", said.claim, MOST_LETTERS_CLAIM),
        "evidence": words("the evidence", said.evidence, MOST_LETTERS_GROUNDS, needed=False),
        "reason": words("why it follows", said.reason, MOST_LETTERS_GROUNDS, needed=False),
        "unless": words("what would overturn it", said.unless, MOST_LETTERS_GROUNDS, needed=False),
        "level": said.level,
        "edge": edge,
        "feature": feature,
        "arms": _arms(state, said.arms),
        "higher": _higher(state, said),
    }


def _higher(state: ShiftState, said: Said) -> str | None:
    """The arm of the larger number."""
    if said.higher is None:
        return None
    if said.edge is None:
        needed, act = "the edge at which it is higher", "Name the edge."
        raise NoteRefused("the claim", needed, "none", act)
    (arm,) = _arms(state, [said.higher])
    if said.arms and arm not in said.arms:
        raise NoteRefused("the arm that is higher", "one of the claim's arms", "another", "Choose again.")
    return arm


def _arms(state: ShiftState, arms: Sequence[str]) -> list[str]:
    known = [arm.name for arm in experiment_of(state).arms]
    if len(set(arms)) < len(arms) or not set(arms) <= set(known):
        # The names of the arms are not told here: a curtain may be drawn.
        raise NoteRefused(
            "the arms of the claim", "arms of the experiment, each once", "others", "Choose again."
        )
    return list(arms)


def _room_left(state: ShiftState, seat: str | None) -> None:
    if seat is not None and sum(each.by == seat for each in state.claims) >= MOST_CLAIMS:
        raise NoteRefused(
            "this seat", f"at most {MOST_CLAIMS} claims", "one more", "Choose the best of them."
        )


def _of_the_same(state: ShiftState, who: Who, seat: str | None, number: int) -> Claim:
    """The standing claim of a line, where whoever acts may put another in its place."""
    there = next((each for each in state.claims if each.number == number), None)
    if there is None or not there.stands:
        found = "none" if there is None else "one that no longer stands"
        raise NoteRefused(f"claim {number}", "a claim that stands", found, "Name it by its line in the book.")
    if who.role == "student" and there.by != seat:
        found, act = "that of another seat", "Say a claim of your own beside it."
        raise NoteRefused(f"claim {number}", "a claim of the same seat", found, act)
    return there
