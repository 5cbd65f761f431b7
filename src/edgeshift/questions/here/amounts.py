"""How much: edge steps in one spot against a reference element's, as ratios of atoms, with an honest
interval.

A step is divided by what one atom of its element adds to the absorption, by each set of tables; a ratio of
two such is one of atoms, whatever the thickness. The interval holds what nobody corrected for: noise and
background, the spread between tables, how the monitor and the yield go with energy, how deep electrons come
from, and light that a thick specimen swallows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from statistics import stdev
from typing import Any

from edgeshift.errors import TextRefused
from edgeshift.questions.here.lineup import World
from edgeshift.questions.here.searching import Evidence
from edgeshift.tables.absorption import edge_step
from edgeshift.tables.edges import edge_named

LEVEL = 1.96
LEAST = 0.10
"""No ratio from tables is better known than to this share (common practice, no source)."""
DEPTH = 0.10
"""Electrons of two edges come from depths that differ by about so much beyond what their energies say (common
practice, no source)."""
SWALLOWED = 0.5
"""A thick flat specimen may show as little as this share of a step in its own light (common practice)."""
MONITOR_POWER = 1.0
"""A monitor and an electron yield change with energy; nobody measured how, so by up to this power of it
(common practice, no source)."""


@dataclass(frozen=True)
class Ratio:
    """Atoms of an element over atoms of the reference in one spot, with its interval.

    The parts of the interval are shares of the value: `noise` (with background, one standard deviation),
    `tables`, `monitor`, `depth`, and `light` (swallowed by either edge, to both sides). Repeats of the spot
    are averaged; `scans` are all of them.
    """

    specimen: str
    spot: str
    element: str
    reference: str
    value: float
    noise: float
    tables: float
    monitor: float
    depth: float
    light: float
    scans: tuple[str, ...]

    @property
    def low(self) -> float:
        """The lower end."""
        return self.value / self._factor

    @property
    def high(self) -> float:
        """The upper end."""
        return self.value * self._factor

    @property
    def _factor(self) -> float:
        parts = (LEVEL * self.noise, self.tables, self.monitor, self.depth)
        return (1.0 + max(math.hypot(*parts), LEAST)) / (1.0 - self.light)


def ratios(world: World, reference: str) -> list[Ratio]:
    """Every element against the reference in the same spot, from edges that stand in both.

    Raises TextRefused where the reference stands nowhere.
    """
    spots: dict[tuple[str, str], dict[str, list[Evidence]]] = {}
    for each in (e for some in world.evidence.values() for e in some):
        if each.state == "found" and not each.beyond and not each.by_height and _share(each) is not None:
            one = world.scans[each.scan]
            spot = spots.setdefault((one.specimen, one.each.scan.place.spot or ""), {})
            spot.setdefault(each.family.element, []).append(each)
    if not any(reference in here for here in spots.values()):
        seen = ", ".join(sorted({element for here in spots.values() for element in here})) or "none"
        needed = "an element whose step stands in some spot"
        raise TextRefused(f"the reference {reference}", needed, seen, "Name one of these.")
    found = (
        _ratio(place, repeats, here[reference], world)
        for place, here in sorted(spots.items())
        if reference in here
        for element, repeats in sorted(here.items())
        if element != reference
    )
    return [each for each in found if each is not None]


def _alike(repeats: list[Evidence], world: World) -> list[Evidence]:
    """The repeats that are averaged: those of the best one's edge and detector; one spot counts once."""
    best = min(repeats, key=_share)
    signal = world.scans[best.scan].each.scan.signal
    return [
        each
        for each in sorted(repeats, key=lambda one: one.scan)
        if each.family == best.family and world.scans[each.scan].each.scan.signal == signal
    ]


def _step(repeats: list[Evidence]) -> tuple[float, float]:
    """The mean step of repeats, unweighted, in the curve's own unit, and its error as a share of it: that of
    their noise, or of their scatter where that is more."""
    heights = [each.total.amount * each.level for each in repeats]
    mean = sum(heights) / len(heights)
    noise = math.sqrt(sum((each.total.sigma * each.level) ** 2 for each in repeats)) / len(heights)
    scatter = stdev(heights) / math.sqrt(len(heights)) if len(heights) > 1 else 0.0
    return mean, max(noise, scatter) / mean


def as_detail(found: Sequence[Ratio]) -> list[dict[str, Any]]:
    """Ratios as the answer's JSON holds them."""
    return [{**asdict(each), "low": each.low, "high": each.high, "scans": list(each.scans)} for each in found]


def _share(each: Evidence) -> float | None:
    """The error of the whole step as a share of it; None where no step is told."""
    total = each.total
    return total.sigma / total.amount if total is not None and total.amount > LEVEL * total.sigma else None


def _ratio(
    place: tuple[str, str], mine: list[Evidence], theirs: list[Evidence], world: World
) -> Ratio | None:
    mine, theirs = _alike(mine, world), _alike(theirs, world)
    each, other = mine[0], theirs[0]
    signals = {world.scans[e.scan].each.scan.signal for e in (each, other)}
    if len(signals) != 1:
        return None
    try:
        by_set = [
            below.value / above.value
            for above, below in zip(
                edge_step(each.family.name).values, edge_step(other.family.name).values, strict=True
            )
        ]
    except TextRefused:
        return None
    light = signals == {"fluorescence"}
    by_set = [one * share for one in by_set for share in (_yield_ratios(each, other) if light else (1.0,))]
    (height, share), (beneath, their_share) = _step(mine), _step(theirs)
    apart = abs(math.log(each.found.at_ev / other.found.at_ev))
    return Ratio(
        *place,
        each.family.element,
        other.family.element,
        height / beneath * math.sqrt(max(by_set) * min(by_set)),
        math.hypot(share, their_share),
        math.sqrt(max(by_set) / min(by_set)) - 1.0,
        math.expm1(MONITOR_POWER * apart),
        DEPTH if signals == {"electron-yield"} else 0.0,
        SWALLOWED if light else 0.0,
        tuple(one.scan for one in (*mine, *theirs)),
    )


def _yield_ratios(each: Evidence, other: Evidence) -> tuple[float, ...]:
    """The reference's fluorescence yield over the element's, by every pair of sources; (1,) where none
    says."""
    mine, theirs = (edge_named(e.family.name).edges[0].yields for e in (each, other))
    return tuple(b.value / a.value for a in mine for b in theirs) or (1.0,)
