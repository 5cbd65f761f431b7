"""The six answers in a breath each: what a station of the strip says, in about fourteen characters."""

from __future__ import annotations

from collections.abc import Sequence

from edgeshift.wording.screen import Say

FULLEST = 14
"""Characters that a cell of the strip holds at most."""


def begin_minutes(say: Say, low: float, high: float | None) -> str:
    """How long it may still take."""
    if high is None:
        return say("station.over", low=low)
    return f"{low:.0f}\u2013{high:.0f} min" if f"{low:.0f}" != f"{high:.0f}" else f"{high:.0f} min"


def since(say: Say, clock: str | None) -> str:
    """Below the limit that the host typed; since when, by the clock or by the load's own minutes."""
    if not clock:
        return say("station.below")
    return say("station.since", clock=clock.removesuffix(" UTC").replace("minute", "min"))


def scans(say: Say, kept: int, aside: int) -> str:
    """Scans kept and set aside."""
    if not kept:
        return say("station.none-kept")
    if not aside:
        return say("station.kept", kept=kept)
    return say("station.kept-and-aside", kept=kept, aside=aside)


def edges(say: Say, lit: Sequence[str], open_ones: Sequence[str], number: int) -> str:
    """Several edges: by their elements where these are few and none has shown nothing, else counted."""
    told = [say("station.edge-yes", element=_element(edge)) for edge in lit]
    told += [say("station.edge-open", element=_element(edge)) for edge in open_ones]
    spelt = ", ".join(told)
    if len(lit) + len(open_ones) == number and len(spelt) <= FULLEST:
        return spelt
    return say("station.edges", lit=len(lit), number=number)


def claims(say: Say, carried: int, drafts: int) -> str:
    """Claims that the data carry, else drafts."""
    return say.several("station.claims", carried) if carried else say.several("station.drafts", drafts)


def _element(edge: str) -> str:
    return edge.split(" ")[0]
