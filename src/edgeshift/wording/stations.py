"""The six answers in a breath each: what a station of the strip says, in about fourteen characters."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from edgeshift.records.figure import StepState
from edgeshift.wording.numbers import count

NOT_YET = "not yet"
NOTHING = "nothing"
NONE_SEEN = "none seen"
REFUSED = "refused"
CANNOT_TELL = "cannot tell"
BELOW = "below limit"
STALLED = "stalled"
KEEP = "keep"
NONE_KEPT = "none kept"
NO_CHANGE = "no change"
NOT_SHOWN = "not shown"
CONTROL_EDGE = "control edge?"
"""An edge moved that should not have: the instrument is suspected before any chemistry."""
OTHER_UNITS = "other units"
STATES = dict(
    zip(
        get_args(StepState),
        ("nothing to ask about yet", "not yet", "cannot tell", "answered in part", "answered", "refused"),
        strict=True,
    )
)
"""A step mark in words, for whoever cannot see it."""
FULLEST = 14
"""Characters that a cell of the strip holds at most."""


def begin_minutes(low: float, high: float | None) -> str:
    """How long it may still take."""
    if high is None:
        return f"over {low:.0f} min"
    return f"{low:.0f}\u2013{high:.0f} min" if f"{low:.0f}" != f"{high:.0f}" else f"{high:.0f} min"


def since(clock: str) -> str:
    """Below the limit that the host typed since then, by the clock or by the load's own minutes."""
    return f"since {clock.removesuffix(' UTC').replace('minute', 'min')}"


def elements(number: int) -> str:
    """How many elements were seen."""
    return _several(number, "element")


def elements_as_of(number: int, scan: str) -> str:
    """How many were seen up to an earlier scan."""
    return f"{number} at {scan}"


def one_trace(verdict: str) -> str:
    """The verdict on a single scan."""
    return {"keep": KEEP, "keep-with-a-note": "keep, a note", "set-aside": "set aside"}[verdict]


def scans(kept: int, aside: int) -> str:
    """Scans kept and set aside."""
    if not kept:
        return NONE_KEPT
    if not aside:
        return f"{kept} kept"
    return f"{kept}, {aside} aside"


def rungs(lit: int) -> str:
    """How many rungs of one edge are lit."""
    return f"{count(lit)} {'rung' if lit == 1 else 'rungs'}"


def edges(lit: Sequence[str], open_ones: Sequence[str], number: int) -> str:
    """Several edges: by their elements where these are few and none has shown nothing, else counted."""
    told = [f"{_element(edge)} yes" for edge in lit] + [f"{_element(edge)}?" for edge in open_ones]
    spelt = ", ".join(told)
    if len(lit) + len(open_ones) == number and len(spelt) <= FULLEST:
        return spelt
    return f"{len(lit)} of {number} edges"


def cards(number: int) -> str:
    """What the minutes may buy."""
    return _several(number, "choice")


def claims(carried: int, drafts: int) -> str:
    """Claims that the data carry, else drafts."""
    return _several(carried, "claim") if carried else _several(drafts, "draft")


def _element(edge: str) -> str:
    return edge.split(" ")[0]


def _several(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
