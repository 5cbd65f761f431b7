"""Words of the rounds in which everybody sketches or votes, on the Stage, on phones and on paper."""

from __future__ import annotations

from edgeshift.wording.numbers import count

INVITED = {"guess": "Draw what you expect", "vote": "Vote"}


def are_in(number: int) -> str:
    """How many have sent theirs; never who."""
    if number == 0:
        return "None is in yet."
    return f"{count(number)} {'is' if number == 1 else 'are'} in.".capitalize()


def invited(sort: str, number: int) -> str:
    """What the Stage says while a round is open."""
    told = are_in(number)
    return f"**{INVITED[sort]}:** {told[:1].lower()}{told[1:]}"


def measured(arm: str, band: bool) -> str:
    """The name of the curve that a sketch is drawn over."""
    return f"{arm}, measured" if band else f"{arm}, measured once: no band"


def next_trace(specimen: str | None, edge: str) -> str:
    """Which trace comes next, where the host did not say it in other words."""
    return f"{specimen} at {edge} is next." if specimen else f"A trace of {edge} is next."


def bars_on(minutes: float) -> str:
    """The ruler that all cards share."""
    return f"All bars are on the same {minutes:.0f} minutes."


def sheet_alt(arm: str, band: bool, edge: str, low: float, high: float) -> str:
    """What a sketch is drawn over, in words."""
    stretch = f"from {low:.0f} to {high:.0f} eV at {edge}"
    if not arm:
        return f"An empty frame {stretch}: nothing is measured here yet."
    return f"{arm}, measured, {'in its give-or-take band, ' if band else ''}{stretch}."


def votes(number: int) -> str:
    """The count of one card."""
    return f"{number} {'vote' if number == 1 else 'votes'}"


LEVELS = (
    "We measured this.",
    "This element is here, at this spot.",
    "These two specimens differ.",
    "Treated units differ from untreated ones.",
    "The change looks like one between standards we measured.",
    "The treatment did it.",
    "It is so for all of this kind, everywhere.",
)
"""The claim levels 0 to 6 in plain words."""


def gain(ratio: float) -> str:
    """What a card was reckoned to do to the give-or-take, told when the vote is over."""
    return f"The give-or-take would be about {ratio:.2g} times what it is."
