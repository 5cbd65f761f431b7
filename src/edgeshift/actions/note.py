"""What a person does, entered into the book with role and reason. Nothing is ever taken out again."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from edgeshift.actions.desk import Desk
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import PEOPLE, VERDICTS_OF_A_PERSON, Event
from edgeshift.records.shift_state import DeclaredTie, ShiftState, replay

if TYPE_CHECKING:
    from edgeshift.tables.edges import EdgeFamily

MOST_LETTERS = 2000
"""A note is a note; longer texts belong into a document."""
BELOW_EDGE_EV, ABOVE_EDGE_EV = 60.0, 200.0
"""Windows of a feature lie so far around the tabulated edge (common practice, no source)."""
MOST_SHIFT_EV = 50.0
"""A larger shift is another axis, not a tie (common practice, no source)."""


class Who(NamedTuple):
    """In which role somebody acts, and why. Roles, never names."""

    role: str
    reason: str = ""


def judge(folder: ExperimentFolder, desk: Desk, who: Who, scan: str, verdict: str) -> Event:
    """Keep a scan, keep it with a note, set it aside, or undo the last judgement of it."""

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "the judgement")
        key = find_scan(state, scan)
        choices = (*VERDICTS_OF_A_PERSON, "undo")
        if verdict not in choices:
            needed = f"one of {', '.join(choices)}"
            raise NoteRefused("the verdict", needed, repr(verdict), "Choose one of them.")
        if verdict == "undo" and key not in state.judgements:
            raise NoteRefused(key, "a judgement to undo", "none", "Judge it first: keep, or set aside.")
        return {"scan": key, "verdict": verdict}

    return enter(folder, desk, who, "judge", payload)


def declare(
    folder: ExperimentFolder,
    desk: Desk,
    who: Who,
    edge: str,
    feature: Mapping[str, Any],
    matters: float | None = None,
) -> Event:
    """Name the one number that will be compared at an edge, and the smallest difference that matters.

    `feature` is {"kind", "windows"[, "words"]} as in the experiment text.
    """

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "the declaration")
        return _checked_feature(edge, feature, matters)

    return enter(folder, desk, who, "declare", payload)


def place(
    folder: ExperimentFolder, desk: Desk, who: Who, scan: str, specimen: str, spot: str | None = None
) -> Event:
    """Say where a scan was measured, where the file does not say it or says it wrongly."""

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "the place")
        known = specimens(state)
        if specimen not in known:
            found = f"{specimen!r}; known are {', '.join(known) or 'none'}"
            act = "Add it to experiment.yaml, or choose one."
            raise NoteRefused("the specimen", "one of the experiment text", found, act)
        return {"scan": find_scan(state, scan), "specimen": specimen, "spot": spot}

    return enter(folder, desk, who, "place", payload)


def tie(folder: ExperimentFolder, desk: Desk, who: Who, shift: DeclaredTie) -> Event:
    """Tie energies to a known peak: add `shift.shift_ev` to the axis of an edge, or of some scans only.

    An earlier tie is replaced by declaring another, 0 eV to take it back.
    """

    def payload(state: ShiftState) -> dict[str, Any]:
        reason_given(who, "the tie")
        _finite_shift(shift)
        numbers = {"shift_ev": shift.shift_ev, "sigma_ev": shift.sigma_ev, "source": shift.source.strip()}
        if shift.scans:
            if shift.edge:
                _known_edge("the tie", shift.edge)
            return {**numbers, "scans": _scans(state, shift.scans), "edge": shift.edge}
        if not shift.edge:
            raise NoteRefused("the tie", "an edge, or the scans it holds for", "neither", "Name one of them.")
        _known_edge("the tie", shift.edge)
        return {**numbers, "edge": shift.edge, "scans": []}

    return enter(folder, desk, who, "tie", payload)


def write(folder: ExperimentFolder, desk: Desk, who: Who, text: str) -> Event:
    """Keep a note in people's own words."""

    def payload(state: ShiftState) -> dict[str, Any]:
        words = text.strip()
        if not words:
            raise NoteRefused("the note", "some words", "none", "Write what should be remembered.")
        if len(words) > MOST_LETTERS:
            raise NoteRefused(
                "the note", f"at most {MOST_LETTERS} letters", str(len(words)), "Write it in two notes."
            )
        return {"text": words}

    return enter(folder, desk, who, "write", payload)


def find_scan(state: ShiftState, said: str) -> str:
    """The key of the scan that somebody means: its key, its number, or the name of its file.

    Raises NoteRefused where no scan, or more than one, answers to that.
    """
    wanted = said.strip()
    number = wanted.lower().removeprefix("scan").strip(" -#")
    found = [
        key
        for key, arrival in state.arrivals.items()
        if wanted in (key, arrival.file, arrival.given, *arrival.copies)
        or (number.isdecimal() and key == f"scan-{int(number):03d}")
    ]
    if len(found) == 1:
        return found[0]
    if found:
        raise NoteRefused(repr(said), "one scan", f"{len(found)}: {', '.join(found)}", "Name one by its key.")
    there = f"{len(state.arrivals)} of other names" if state.arrivals else "no scan yet"
    raise NoteRefused(repr(said), "a scan in this experiment", there, "Name it by its file or its number.")


def enter(
    folder: ExperimentFolder, desk: Desk, who: Who, kind: str, payload: Callable[[ShiftState], dict[str, Any]]
) -> Event:
    """Check against what is known and write, with nobody writing in between. Raises NoteRefused."""
    if who.role not in PEOPLE:
        raise NoteRefused("the role", f"one of {', '.join(PEOPLE)}", repr(who.role), "Say who acts, by role.")

    def decide(events: tuple[Event, ...]) -> list[Event]:
        return [Event(0, desk.now(), kind, who.role, who.reason.strip(), payload(replay(events)))]

    return folder.append_from(decide)[0]


def reason_given(who: Who, what: str) -> None:
    """Raises NoteRefused where nobody said why."""
    if not who.reason.strip():
        raise NoteRefused(what, "a reason", "none", "Say why, in a few words.")


def _scans(state: ShiftState, said: Sequence[str]) -> list[str]:
    return [find_scan(state, one) for one in said]


def _finite_shift(shift: DeclaredTie) -> None:
    if not math.isfinite(shift.shift_ev):
        raise NoteRefused("the shift", "a number in eV", str(shift.shift_ev), "Type it as 0.25.")
    if abs(shift.shift_ev) > MOST_SHIFT_EV:
        needed, act = f"at most {MOST_SHIFT_EV:g} eV", "A larger shift is another axis, not a tie."
        raise NoteRefused("the shift", needed, f"{shift.shift_ev:g} eV", act)
    if not (math.isfinite(shift.sigma_ev) and shift.sigma_ev >= 0):
        found = str(shift.sigma_ev)
        raise NoteRefused("its give-or-take", "a number in eV, 0 or more", found, "Type it as 0.05.")
    if not shift.source.strip():
        raise NoteRefused("the tie", "its source", "none", "Say which known peak, and who published it.")


def specimens(state: ShiftState) -> list[str]:
    """Names of all that is mounted, by the experiment text."""
    from edgeshift.formats.experiment_text import load

    return [specimen.name for specimen in load(state.experiment_text, "experiment.yaml").specimens]


def _checked_feature(edge: str, feature: Mapping[str, Any], matters: float | None) -> dict[str, Any]:
    from pydantic import ValidationError

    from edgeshift.formats.text_faults import fault_of
    from edgeshift.recipe.experiment import EdgePlan

    try:
        plan = EdgePlan(edge=edge, feature=dict(feature), matters=matters)
    except ValidationError as trouble:
        fault = fault_of(trouble.errors()[0], EdgePlan)
        thing = f"the declaration ({fault.place})" if fault.place else "the declaration"
        raise NoteRefused(thing, fault.needed, fault.found, fault.act) from None
    _windows_reach(_known_edge("the declaration", edge), plan.feature.windows)
    return {"edge": plan.edge, "feature": plan.feature.model_dump(mode="json"), "matters": plan.matters}


def _known_edge(thing: str, name: str) -> EdgeFamily:
    from edgeshift.errors import TextRefused
    from edgeshift.tables.edges import edge_named

    try:
        return edge_named(name)
    except TextRefused as unknown:
        raise NoteRefused(f"{thing} (edge)", unknown.needed, unknown.found, unknown.act) from None


def _windows_reach(family: EdgeFamily, windows: Sequence[tuple[float, float]]) -> None:
    least = min(edge.low_ev for edge in family.edges) - BELOW_EDGE_EV
    most = max(edge.high_ev for edge in family.edges) + ABOVE_EDGE_EV
    for low, high in windows:
        if low < least or high > most:
            needed = f"windows between {least:.0f} and {most:.0f} eV for {family.name}"
            raise NoteRefused(
                "the declaration", needed, f"{low:g}-{high:g}", "Check the edge and the window."
            )
