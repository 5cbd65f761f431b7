"""The words of "What shall our minutes buy?": at most twenty a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.wording import one_more
from edgeshift.wording.element_names import NAMES
from edgeshift.wording.numbers import count
from edgeshift.wording.plain import card_line

SETTLES, CANNOT_FIX = "Settles", "Cannot fix"
CAUTIONS = (
    "The group chooses; the cards are not ranked.",
    "Follow your facility's and beamline's rules; staff decide.",
)
NO_END = "Cannot tell: nobody said how many minutes are left."
SAY_END = "Say it: --left 120, or type day: ends in experiment.yaml."
NO_SCAN = "Nothing measured yet, so there is nothing to choose between."
SCAN_FIRST = "Take a first scan of each arm, in turn."
VOTE = "Open a vote, then note what was decided."
LEFT = "minutes left until the shift ends"
FIRST_AGAIN = "Repeat the first specimen"
FIRST_SETTLES = "Whether anything drifted since the first scan."
NO_CHECK = "the first specimen again takes longer than there is"
FIRST_CANNOT = "How much units differ."
STOP = "Stop and write"
STOP_SETTLES = "What we can say, in our own words, while all are here."
STOP_CANNOT = "Anything not yet measured."
TIE = "Scan a standard"
TIE_CANNOT = "How much units differ."
OPEN_CANNOT = "How much of it there is, and how units differ."
FIRST_ROUND_SETTLES = "What this edge shows at all: nobody has looked."
FIRST_ROUND_CANNOT = "How much spots and scans differ there."
AGAIN_SETTLES = "Whether a second scan looks the same."
AGAIN_CANNOT = "How units differ."
BARE = ("blank-unmeasured", "like-the-blank")
"""What is open for want of a bare mount."""
IN_TURN_CANNOT = "Too few units."
NARROWING = {
    "scan": "One more scan on every spot",
    "spot": "One more spot on every unit",
    "half-spot": "One more spot on half of the units",
}
UNITS = {True: "One more pair", False: "One more unit in each arm"}
NARROWING_CANNOT = {
    "scan": "How spots and units differ.",
    "spot": "How units differ.",
    "half-spot": "How units differ.",
    "unit": "An energy scale that moved.",
}
BACKS = "Their faces are shown when the host opens the vote."
QUESTION = "If we had only these minutes, what would change our mind?"


def cost(minutes: float) -> str:
    """As "36 min"."""
    return f"{minutes:.0f} min"


def bars(left: float) -> str:
    """What the bars of the cards are parts of."""
    return f"bars: parts of the {left:.0f} minutes left"


def sentence(cards: int, left: float) -> str:
    """How many cards lie there, for how long."""
    if cards == 1:
        return f"{left:.0f} minutes are ours: only writing fits."
    return f"{left:.0f} minutes are ours. {count(cards).capitalize()} cards say what they could buy."


def narrowing_title(act: str, paired: bool, edge: str) -> str:
    """The act and its edge."""
    return f"{UNITS[paired] if act == 'unit' else NARROWING[act]} at {edge}"


def narrowing_settles(weighed: Mapping[str, Any], paired: bool) -> str:
    """By how much the give-or-take narrows, or that and why nobody can tell."""
    low, middle, high = (weighed[name] for name in ("low", "middle", "high"))
    if weighed["act"] == "unit" and middle is not None:
        return f"The give-or-take narrows by at least {_percent(high)} %."
    if middle is not None:
        least, most = _percent(high), _percent(low)
        between = f", between {least} and {most}" if least != most else ""
        return f"The give-or-take narrows by {_percent(middle)} %{between}."
    reason = "one-pair" if weighed["reason"] == "one-unit" and paired else weighed["reason"]
    if low is not None and weighed["reason"] in one_more.RANGES:
        return f"Cannot tell: perhaps {_percent(high)} to {_percent(low)} % narrower."
    return f"Cannot tell by how much: {one_more.REASONS[reason]}."


def _percent(ratio: float) -> int:
    return round(100 * (1 - ratio))


def in_turn_settles(units: int) -> str:
    """What a round in turn settles, with the units whose order put the card there."""
    return f"Whether drift posed as the treatment: of {units} units one arm came all before the other."


def tie_settles(ago_min: float) -> str:
    """What a standard settles, with the age of the last one, which put the card there."""
    return f"Whether the energy scale stands where it stood: no standard in {ago_min:.0f} min."


def open_title(edge: str, why: str) -> str:
    """A scan for one element."""
    if why in BARE:
        return f"Scan a bare mount at {edge}"
    if why == "partner-unscanned":
        return f"Scan on past both lines of {edge}"
    return f"One longer, finer scan at {edge}"


def open_settles(element: str, why: str) -> str:
    """What is open about it."""
    name = NAMES.get(element, element)
    if why in BARE:
        return f"Whether {name} is in the specimen or in its mount: still open."
    if why == "fits":
        return f"Whether {name} is there or only imitated: perhaps, if the light's orders change too."
    return f"Whether {name} is there: still open."


def first_round(edge: str) -> str:
    """A planned edge that nobody looked at."""
    return f"A first round at {edge}"


def again(edge: str) -> str:
    """The same once more."""
    return f"Every specimen again at {edge}"


def in_turn(edge: str) -> str:
    """One round through both arms in turn."""
    return f"Both arms again in turn at {edge}"


def best_spots(edge: str) -> str:
    """S*."""
    return f"spots on each unit that buy most at {edge}; about one means more units instead"


def untold(title: str) -> str:
    """A card of which no number is told."""
    return f"cannot tell what this would do: {title[0].lower()}{title[1:]}"


def too_long(cards: int) -> str:
    """What was left out for want of time."""
    one = cards == 1
    acts = "act takes" if one else "acts take"
    return f"{count(cards)} other {acts} longer than there is, with the closing check"


def alt(cards: list[Mapping[str, Any]], told: str) -> str:
    """The cards in words."""
    said = [card_line(card) for card in cards]
    return " ".join([told, *said])
