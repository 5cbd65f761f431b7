"""How any act of a person enters the book: with a role, with bounds, and with nobody writing in between."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

from edgeshift.actions.desk import Desk
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import PEOPLE, Event
from edgeshift.records.shift_state import ShiftState, replay

if TYPE_CHECKING:
    from edgeshift.recipe.experiment import Experiment
    from edgeshift.tables.edges import EdgeFamily

MOST_LETTERS = 2000
"""A note is a note; longer texts belong into a document."""
SEAT = re.compile(r"[0-9a-f]{8,64}")
"""What a seat is called: hexadecimal digits drawn by chance, so that no name can stand there."""
TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Marks that turn the direction of what is written around them."""


class Who(NamedTuple):
    """In which role somebody acts, and why. Roles, never names."""

    role: str
    reason: str = ""


def enter(
    folder: ExperimentFolder, desk: Desk, who: Who, kind: str, payload: Callable[[ShiftState], dict[str, Any]]
) -> Event:
    """Check against what is known and write, with nobody writing in between."""
    role, reason = role_given(who), words("the reason", who.reason, needed=False)

    def decide(events: tuple[Event, ...]) -> list[Event]:
        return [Event(0, desk.now(), kind, role, reason, payload(replay(events)))]

    return folder.append_from(decide)[0]


def role_given(who: Who) -> str:
    """The role, where it is one. Raises NoteRefused otherwise."""
    if who.role not in PEOPLE:
        raise NoteRefused("the role", f"one of {', '.join(PEOPLE)}", repr(who.role), "Say who acts, by role.")
    return who.role


def reason_given(who: Who, what: str) -> None:
    """Refuse `what` where nobody said why."""
    if not words("the reason", who.reason, needed=False):
        raise NoteRefused(what, "a reason", "none", "Say why, in a few words.")


def words(thing: str, said: str, most: int = MOST_LETTERS, needed: bool = True) -> str:
    """What somebody wrote, without blanks around it and without what no page can show.

    Raises NoteRefused where it is no text, longer than `most` letters, or empty and `needed`.
    """
    if not isinstance(said, str):
        raise NoteRefused(thing, "words", type(said).__name__, "Write it in words.")
    if len(said) > most:
        raise NoteRefused(thing, f"at most {most} letters", str(len(said)), "Say it in fewer words.")
    text = "".join(letter for letter in said if _can_be_shown(letter)).strip()
    if needed and not text:
        raise NoteRefused(thing, "some words", "none", "Write what should be remembered.")
    return text


def _can_be_shown(letter: str) -> bool:
    return letter == "\n" or (letter not in TURNING and unicodedata.category(letter) not in ("Cc", "Cs"))


def seat_given(seat: str) -> str:
    """The key of a seat. Raises NoteRefused for anything that could be a name."""
    if not isinstance(seat, str) or not SEAT.fullmatch(seat):
        needed, found = "8 to 64 hexadecimal digits drawn by chance", "something else"
        raise NoteRefused("the seat", needed, found, "Seats are keys without meaning, never names.")
    return seat


def new_seat(desk: Desk) -> str:
    """A key for somebody who has none yet: 16 hexadecimal digits."""
    return f"{desk.seed():08x}{desk.seed():08x}"


def number_given(thing: str, said: float, least: float, most: float, unit: str = "") -> float:
    """A finite number within its bounds. Raises NoteRefused otherwise."""
    fits = isinstance(said, int | float) and not isinstance(said, bool)
    if not (fits and math.isfinite(said) and least <= said <= most):
        needed = f"a number from {least:g} to {most:g}{f' {unit}' if unit else ''}"
        raise NoteRefused(thing, needed, repr(said)[:40], "Type it as a number.")
    return float(said)


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
        or (number.isdecimal() and len(number) < 10 and key == f"scan-{int(number):03d}")
    ]
    if len(found) == 1:
        return found[0]
    if found:
        raise NoteRefused(repr(said), "one scan", f"{len(found)}: {', '.join(found)}", "Name one by its key.")
    there = f"{len(state.arrivals)} of other names" if state.arrivals else "no scan yet"
    raise NoteRefused(repr(said), "a scan in this experiment", there, "Name it by its file or its number.")


def known_edge(thing: str, name: str) -> EdgeFamily:
    """The edge that a name stands for. Raises NoteRefused for one that is in no table."""
    from edgeshift.errors import TextRefused
    from edgeshift.tables.edges import edge_named

    try:
        return edge_named(name)
    except TextRefused as unknown:
        raise NoteRefused(f"{thing} (edge)", unknown.needed, unknown.found, unknown.act) from None


def experiment_of(state: ShiftState) -> Experiment:
    """The accepted experiment text, read."""
    from edgeshift.formats.experiment_text import load

    return load(state.experiment_text, "experiment.yaml")


def known_specimen(state: ShiftState, specimen: str) -> str:
    """A specimen of the experiment text. Raises NoteRefused for another."""
    known = [each.name for each in experiment_of(state).specimens]
    if specimen not in known:
        found = f"{specimen!r}; known are {', '.join(known) or 'none'}"
        act = "Add it to experiment.yaml, or choose one."
        raise NoteRefused("the specimen", "one of the experiment text", found, act)
    return specimen
