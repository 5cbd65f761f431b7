"""The cards: every act that the data so far can weigh, and two that are always there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from edgeshift.numerics.scatter_shares import best_spots
from edgeshift.questions.minutes.costs import Costs
from edgeshift.wording import minutes as words

OLD_TIE_MIN = 120.0
"""Minutes after which a standard is scanned again (common practice, no source)."""

DOUBTS = ("in-turn", "tie", "open")
"""Acts that answer a doubt about the day, or about what is there; they come first."""
FEWEST = 3
"""Cards on the table, where there is time for them: fewer would be no choice."""


class Card(NamedTuple):
    """One card. `predicted_ratio` is the variance of the difference then over now, with its range; None where
    the act is about something else, or where the data cannot tell."""

    code: str
    title: str
    minutes: float
    settles: str
    cannot_fix: str
    edge: str | None = None
    predicted_ratio: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def kind(self) -> str:
        """The act, whatever the edge."""
        return self.code.partition("/")[0]

    @property
    def worth(self) -> float:
        """How much of the variance goes for each minute (of its logarithm); a range counts by its middle."""
        ratio = self.predicted_ratio
        if ratio is None:
            ratio = math.sqrt(self.low * self.high) if self.low and self.high else 1.0
        return -math.log(max(ratio, 1e-9)) / max(self.minutes, 1e-9)


class EdgeNow(NamedTuple):
    """One comparison as it stands: the numbers of its answer to "real", and what is mounted but unmeasured.

    `fresh` is how many units (pairs) could still be added in each arm; `spots` and `scans` are planned for
    each unit and spot.
    """

    edge: str
    detail: Mapping[str, Any]
    fresh: int
    spots: int
    scans: int

    @property
    def waits(self) -> int:
        """2 where the family still waits for its third rung, 1 where another edge does, 0 where it is lit."""
        lit = self.detail["rungs"]["units"] == "lit"
        return 0 if lit else 2 if self.detail["role"] == "family" else 1


def narrowing(now: EdgeNow, costs: Costs, room: float) -> Iterator[Card]:
    """What narrows the difference at one edge: scans, spots, and units where some are mounted.

    Where a whole round of spots does not fit into the room, half a round is offered.
    """
    weighed = {each["act"]: each for each in now.detail["one_more"]}
    spots = [spot for dot in now.detail["dots"] for spot in dot["spots"]]
    units = len(now.detail["dots"])
    each = math.ceil(len([key for spot in spots for key in spot["keys"]]) / len(spots))
    price = {
        "scan": costs.visits(now.edge, len(spots), 1),
        "spot": costs.visits(now.edge, units, each),
        "unit": costs.visits(now.edge, 2 * now.spots, now.scans),
    }
    for act, minutes in price.items():
        if act != "unit" or now.fresh > 0:
            yield _narrowing_card(now, weighed[act], minutes)
    if price["spot"] > room:
        half = sum(-(-count // 2) for count in now.detail["units"].values())
        yield _narrowing_card(now, now.detail["half_round"], costs.visits(now.edge, half, each))


def _narrowing_card(now: EdgeNow, weighed: Mapping[str, Any], minutes: float) -> Card:
    """The half-width's ratio in the answer is the root of the variance's."""
    act, paired = weighed["act"], now.detail["paired"]
    low, middle, high = (
        None if weighed[name] is None else weighed[name] ** 2 for name in ("low", "middle", "high")
    )
    return Card(
        f"{act}/{now.edge}", words.narrowing_title(act, paired, now.edge), minutes,
        words.narrowing_settles(weighed, paired), words.NARROWING_CANNOT[act], now.edge, middle, low, high,
    )  # fmt: skip


def interleaving(edge: str, units: int, costs: Costs) -> Card:
    """Where all of one arm came before the other, one more round in turn."""
    minutes = costs.visits(edge, units, 1)
    return Card(
        f"in-turn/{edge}",
        words.in_turn(edge),
        minutes,
        words.in_turn_settles(units),
        words.IN_TURN_CANNOT,
        edge,
    )


def tying(edge: str, ago_min: float, costs: Costs) -> Card:
    """A standard again, where the last one is old: so many minutes."""
    minutes = costs.visits(edge, 1, 1)
    return Card(f"tie/{edge}", words.TIE, minutes, words.tie_settles(ago_min), words.TIE_CANNOT, edge)


def naming(element: str, edge: str, why: str, costs: Costs) -> Card:
    """A scan that may tell whether an element is there; `why` is the code of what stands open."""
    minutes = costs.visits(edge, 1, 1)
    settles, cannot = words.open_settles(element, why), words.OPEN_CANNOT
    return Card(f"open/{element}", words.open_title(edge, why), minutes, settles, cannot, edge)


def unmeasured(edge: str, specimens: int, costs: Costs) -> Card:
    """A first round at an edge that was planned and not scanned yet."""
    minutes = costs.visits(edge, specimens, 1)
    return Card(
        f"first-round/{edge}", words.first_round(edge), minutes, words.FIRST_ROUND_SETTLES,
        words.FIRST_ROUND_CANNOT, edge,
    )  # fmt: skip


def once_more(edge: str, specimens: int, costs: Costs) -> Card:
    """Every specimen again at one edge, where no comparison can weigh anything."""
    minutes = costs.visits(edge, specimens, 1)
    return Card(f"again/{edge}", words.again(edge), minutes, words.AGAIN_SETTLES, words.AGAIN_CANNOT, edge)


def closing(edge: str, costs: Costs) -> Card:
    """The first specimen once more, where the day began: without it drift can never be excluded."""
    return Card(
        "first-again", words.FIRST_AGAIN, costs.visits(edge, 1, 1), words.FIRST_SETTLES, words.FIRST_CANNOT,
        edge,
    )  # fmt: skip


def writing(minutes: float) -> Card:
    """Stop, and write what can be said."""
    return Card("write", words.STOP, minutes, words.STOP_SETTLES, words.STOP_CANNOT)


def spots_worth(now: EdgeNow, costs: Costs) -> float | None:
    """The best number of spots on each unit, where the data tell how units and spots scatter."""
    shares = next((each["shares"] for each in now.detail["one_more"] if each["act"] == "spot"), None)
    if shares is None:
        return None
    spot = costs.move + now.scans * costs.scan[now.edge]
    found = best_spots(costs.move + spot, spot, shares[0], shares[1])
    return found if math.isfinite(found) else None


def chosen(cards: Sequence[Card], edges: Sequence[EdgeNow], room: float, most: int = 3) -> list[Card]:
    """At most three of those that fit into the room: doubts about the day first, then what still waits for an
    answer, there by what a minute buys."""
    waits = {now.edge: now.waits for now in edges}

    def order(card: Card) -> tuple:
        return (card.kind not in DOUBTS, -waits.get(card.edge, 0), -card.worth)

    return sorted((card for card in cards if card.minutes <= room), key=order)[:most]
