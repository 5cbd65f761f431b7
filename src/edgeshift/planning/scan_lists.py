"""Which energies to scan at an edge, how long on each, and how long it takes. Nothing is sent anywhere.

Fine steps lie where the lines are, coarse ones before and after; a fine step is a fifth of the width that a
line has after the instrument blurred it, the hole's natural width and the resolution added in squares.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment, ScanWish
from edgeshift.tables.edges import EdgeFamily, edge_named

BELOW_EV, ABOVE_K_EV, ABOVE_PAIR_EV = 10.0, 45.0, 20.0
"""A scan begins so far under its first tabulated edge and ends so far over its last (common practice, no
source): one edge needs room for its step, a pair of white lines less."""
FINE_BELOW_EV, FINE_ABOVE_K_EV, FINE_ABOVE_PAIR_EV = 3.0, 12.0, 7.0
"""Fine steps begin and end so far from the edges, by the lower table (common practice, no source)."""
ACROSS = 5
"""Points across a line's width."""
STEPS_EV = (0.1, 0.2, 0.25, 0.5)
"""Steps that people can type; a finer one than the first buys nothing that drift would not take."""
COARSE_EV = 0.5
USUAL_RESOLVING = 3000.0
"""Where the host typed no resolving power (common practice, no source)."""


@dataclass(frozen=True)
class Region:
    """Energies from `low_ev` to `high_ev` in steps, both ends included."""

    low_ev: float
    high_ev: float
    step_ev: float

    @property
    def points(self) -> int:
        """How many energies."""
        return round((self.high_ev - self.low_ev) / self.step_ev) + 1


@dataclass(frozen=True)
class ScanList:
    """One edge's scan; regions share no energy. `width_ev` is what a line will have.

    `tables_differ_ev` is how far the tables lie apart where that is more than they should (0.0: they agree).
    `scatter` is that of one point, as a share of the reading; moves and changes are minutes of getting there.
    """

    edge: str
    regions: tuple[Region, ...]
    dwell_s: float
    settle_s: float
    width_ev: float
    tables_differ_ev: float = 0.0
    scatter: float = 0.0
    move_min: float = 0.0
    edge_change_min: float = 0.0

    @property
    def energies_ev(self) -> tuple[float, ...]:
        """Every energy in order."""
        return tuple(
            round(region.low_ev + k * region.step_ev, 3)
            for region in self.regions
            for k in range(region.points)
        )

    @property
    def minutes(self) -> float:
        """How long one scan takes, without getting there."""
        return len(self.energies_ev) * (self.dwell_s + self.settle_s) / 60

    @property
    def minutes_with_move(self) -> float:
        """How long the next specimen takes: getting there and one scan."""
        return self.move_min + self.minutes


def scan_list(edge: str, wish: ScanWish, beamline: BeamlineProfile) -> ScanList:
    """The list for one edge. Raises TextRefused for an edge that is in no table."""
    family = edge_named(edge)
    low, high = ends(family, wish)
    width = _width(family, beamline.resolving_power or USUAL_RESOLVING)
    fine = max([step for step in STEPS_EV if step <= width / ACROSS], default=STEPS_EV[0])
    first, last = family.edges[0].low_ev, family.edges[-1].low_ev
    above = FINE_ABOVE_K_EV if len(family.edges) == 1 else FINE_ABOVE_PAIR_EV
    begins, stops = _on_grid(first - FINE_BELOW_EV), _on_grid(last + above)
    begins, stops = min(max(begins, low), high), max(min(stops, high), low)
    parts = _apart((low, begins, COARSE_EV), (begins, stops, fine), (stops, high, COARSE_EV))
    spread = max(each.spread_ev if each.disagrees else 0.0 for each in family.edges)
    dwell = wish.dwell_s or dwell_for(wish.noise_at_1s, wish.precision)
    over = beamline.overheads
    return ScanList(
        family.name,
        tuple(Region(*part) for part in parts),
        dwell,
        over.settle_s,
        width,
        spread,
        wish.noise_at_1s / math.sqrt(dwell),
        over.move_min,
        over.edge_change_min,
    )


def _apart(*parts: tuple[float, float, float]) -> list[tuple[float, float, float]]:
    """Parts (from, to, step) that have a length; each begins one step after the last, so that no energy is
    typed in twice."""
    found: list[tuple[float, float, float]] = []
    for low, high, step in parts:
        if high - low > 1e-6:
            begins = round(low + step, 3) if found else low
            found.append((min(begins, high), high, step))
    return found


def scan_lists(experiment: Experiment) -> tuple[ScanList, ...]:
    """The lists of every edge that the text plans, in its order."""
    return tuple(scan_list(plan.edge, plan.scan, experiment.beamline) for plan in experiment.edges)


def dwell_for(noise_at_1s: float, precision: float) -> float:
    """Seconds on a point until its scatter is `precision`, where one second leaves `noise_at_1s`: squares."""
    return (noise_at_1s / precision) ** 2


def csv_rows(lists: Sequence[ScanList]) -> list[tuple[str, ...]]:
    """A head and one row a region: what somebody types into an instrument."""
    head = ("edge", "from_ev", "to_ev", "step_ev", "points", "dwell_s", "settle_s")
    rows = [
        (
            one.edge,
            f"{r.low_ev:.2f}",
            f"{r.high_ev:.2f}",
            f"{r.step_ev:.2f}",
            str(r.points),
            f"{one.dwell_s:.2f}",
            f"{one.settle_s:.2f}",
        )
        for one in lists
        for r in one.regions
    ]
    return [head, *rows]


def ends(family: EdgeFamily, wish: ScanWish) -> tuple[float, float]:
    """First and last energy: as typed, else so far around the edges that a step has room."""
    above = ABOVE_K_EV if len(family.edges) == 1 else ABOVE_PAIR_EV
    low = wish.low_ev or _on_grid(family.edges[0].low_ev - BELOW_EV)
    return low, wish.high_ev or _on_grid(family.edges[-1].high_ev + above)


def _width(family: EdgeFamily, resolving: float) -> float:
    """Of the narrowest line: the first edge's natural width (the smaller table) and resolution."""
    first = family.edges[0]
    natural = min((each.value for each in first.widths), default=0.0)
    return math.hypot(natural, first.low_ev / resolving)


def _on_grid(value: float) -> float:
    return COARSE_EV * round(value / COARSE_EV)
