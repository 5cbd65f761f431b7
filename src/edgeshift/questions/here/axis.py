"""Is the energy axis off? Told from several edges together, reported, and never obeyed."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from statistics import median

import numpy as np

from edgeshift.errors import TextRefused
from edgeshift.numerics.edge_search import SHARP_EV, Found, Sought, search
from edgeshift.questions.here.material import Material
from edgeshift.questions.here.searching import PARTNER, VALLEY
from edgeshift.tables.edge_kinds import kind_of
from edgeshift.tables.edges import EdgeFamily, edge_named, families, split_ev

FARTHEST_EV = 25.0
"""How far off an axis is looked for."""
LINE_REACH_EV, STEP_REACH_EV, REACH_SHARE = (-2.0, 7.0), (-3.0, 10.0), 0.003
"""Where a first line, or the middle of a rise, usually lies beside the tabulated energies; above it at least
this share of the energy (common practice, no source). Narrower than the window in which it may lie."""
USUAL_LINE_EV, USUAL_STEP_EV = (3.0, 1.5), (5.0, 2.5)
"""So far above the middle of the tables a first line, or the middle of a rise, usually stands, and so much do
elements and their chemistry scatter about that, one standard deviation (common practice, no source)."""
FEWEST, DOUBTFUL, OWN = 2, 2.6, 2.0
"""So many elements must say it together, and their mean stand so many of its own standard deviations off; an
edge farther than so many of its own from the mean does not say it with the others."""
ALONE_EV = 3.0
"""One edge alone is told only where it stands so much farther off than that."""
SURE = 6.0
"""An edge counts here from so many standard errors on (practice, no source)."""
PAD_EV = 12.0


@dataclass(frozen=True)
class OffEdge:
    """Where one edge stands: by how much the axis would have to be off, at least and at most (eV, low and
    high), for it to lie in reach of the tables; and by how much for it to stand where edges of its kind
    usually do, with the scatter of those (eV)."""

    edge: str
    scan: str
    low_ev: float
    high_ev: float
    usual_ev: float
    scatter_ev: float

    @property
    def element(self) -> str:
        """The element whose edge it is."""
        return self.edge.split()[0]

    @property
    def off(self) -> bool:
        """Whether no shift would not do."""
        return not self.low_ev <= 0.0 <= self.high_ev


@dataclass(frozen=True)
class AxisFinding:
    """The shift (eV, low and high) that would put all these edges where they belong; above 0: the axis reads
    too high. `several` is False where one edge alone says so, which may be another element as well. `home`:
    scans of which an edge stands where it should, and where the shift would not leave it."""

    low_ev: float
    high_ev: float
    edges: tuple[OffEdge, ...]
    home: frozenset[str] = frozenset()

    @property
    def several(self) -> bool:
        """Whether more than one element says so."""
        return len({each.element for each in self.edges}) > 1

    def doubts(self, scan: str) -> bool:
        """Whether nothing of this scan may be named by its place."""
        return self.several and scan not in self.home

    @property
    def middle_ev(self) -> float:
        """The middle of the shifts that would do."""
        return 0.5 * (self.low_ev + self.high_ev)


def axis_finding(found: Iterable[OffEdge]) -> AxisFinding | None:
    """What the edges of all scans, as `placed` found them, say of the axis; None: nothing."""
    every = list(found)
    best = _together(every) or _out_of_reach(every)
    if best is None:
        return None
    scans = {each.scan for each in best.edges}
    home = frozenset(each.scan for each in every if not each.off and each.scan not in scans)
    return replace(best, home=home)


def _together(every: list[OffEdge]) -> AxisFinding | None:
    """The shift that elements tell together, each with the scatter of its kind, though none need lie out of
    its own reach; they must be most of the elements. The interval holds two standard deviations."""
    by_element = _by_element(every)
    if len(by_element) < FEWEST:
        return None
    usual = {name: median(each.usual_ev for each in mine) for name, mine in by_element.items()}
    scatter = {name: mine[0].scatter_ev for name, mine in by_element.items()}
    agree = max(
        ([n for n in usual if abs(usual[n] - usual[start]) <= OWN * scatter[n]] for start in usual), key=len
    )
    if len(agree) < FEWEST or 2 * len(agree) <= len(usual):
        return None
    weights = np.array([scatter[name] ** -2 for name in agree])
    mean = float(np.average([usual[name] for name in agree], weights=weights))
    error = float(weights.sum() ** -0.5)
    if abs(mean) < DOUBTFUL * error:
        return None
    told = tuple(each for name in agree for each in by_element[name])
    return AxisFinding(mean - 2.0 * error, mean + 2.0 * error, told)


def _by_element(every: Iterable[OffEdge]) -> dict[str, list[OffEdge]]:
    """Edges by their element, of one family each: the one that most scans show."""
    groups: dict[str, list[OffEdge]] = {}
    for each in every:
        groups.setdefault(each.edge, []).append(each)
    found: dict[str, list[OffEdge]] = {}
    for mine in sorted(groups.values(), key=len, reverse=True):
        found.setdefault(mine[0].element, mine)
    return found


def _out_of_reach(every: list[OffEdge]) -> AxisFinding | None:
    """The shift that brings the most edges back into their reach, where some lie out of it."""
    off = [each for each in every if each.off]
    if not off:
        return None
    at_home = {each.edge for each in every if not each.off}
    best: AxisFinding | None = None
    for start in off:
        group = tuple(e for e in every if e.low_ev <= start.high_ev and e.high_ev >= start.low_ev)
        low, high = max(e.low_ev for e in group), min(e.high_ev for e in group)
        if low > high:
            group, low, high = (start,), start.low_ev, start.high_ev
        names = {each.edge for each in group}
        if best is None or len(names) > len({each.edge for each in best.edges}):
            best = AxisFinding(low, high, group)
    told = {each.edge for each in best.edges if each.off}
    if not best.several and min(abs(best.low_ev), abs(best.high_ev)) < ALONE_EV:
        return None
    return best if told - at_home and len({e.edge for e in best.edges}) >= len(at_home) else None


def placed(one: Material) -> list[OffEdge]:
    """Where the named edge of a scan, or every clear pair of a survey, stands beside where it should."""
    family = _named(one)
    if family is not None and kind_of(family) == "slow":
        return []
    wanted = [family] if family else [f for f in families() if kind_of(f) == "lines" and _inside(f, one)]
    return [each for each in (_off(one, f) for f in wanted) if each]


def _named(one: Material) -> EdgeFamily | None:
    try:
        return edge_named(one.edge or "")
    except TextRefused:
        return None


def _inside(family: EdgeFamily, one: Material) -> bool:
    first, last = family.edges[0], family.edges[-1]
    stretch = one.stretch_around(first.low_ev)
    return stretch is not None and stretch[0] < first.low_ev - PAD_EV and stretch[1] > last.high_ev + PAD_EV


def _off(one: Material, family: EdgeFamily) -> OffEdge | None:
    first = family.edges[0]
    pairs = kind_of(family) == "lines"
    below, above = LINE_REACH_EV if pairs else STEP_REACH_EV
    above = max(above, REACH_SHARE * first.high_ev)
    found = _wide(one, family, pairs)
    if found is None or found.strength < SURE or found.amounts[0] < SURE * found.sigmas[0]:
        return None
    weak = pairs and (found.amounts[1] < PARTNER * found.sigmas[1] or found.valley < VALLEY)
    if weak:
        return None
    low, high = found.at_ev - (first.high_ev + above), found.at_ev - (first.low_ev + below)
    usual, scatter = USUAL_LINE_EV if pairs else USUAL_STEP_EV
    usual_ev = found.at_ev - 0.5 * (first.low_ev + first.high_ev) - usual
    scatter = math.hypot(max(scatter, REACH_SHARE / 2.0 * first.high_ev), 0.5 * first.spread_ev)
    return OffEdge(family.name, one.key, float(low), float(high), float(usual_ev), scatter)


def _wide(one: Material, family: EdgeFamily, pairs: bool) -> Found | None:
    """The best place for the edge in a window far wider than its own."""
    first, last = family.edges[0], family.edges[-1]
    inside = (one.energy_ev > first.low_ev - FARTHEST_EV - PAD_EV) & (
        one.energy_ev < last.high_ev + FARTHEST_EV + PAD_EV
    )
    at = one.energy_ev[inside]
    if at.size < 20:
        return None
    level = float(np.ptp(one.value[inside]))
    if not level > 0:
        return None
    low = max(first.low_ev - FARTHEST_EV, at[0] + 2.0)
    high = min(first.high_ev + FARTHEST_EV, at[-1] - 4.0 - (split_ev(family.name) if pairs else 0.0))
    if high - low < 4.0:
        return None
    step = one.step_ev
    places = np.arange(low, high, max(0.5, 0.5 * step))
    splits: tuple[float, ...] = ()
    if pairs:
        split = split_ev(family.name)
        splits = tuple(split + np.linspace(-1.0, 1.0, 3) * min(max(0.2 * split, 0.6), 1.5))
    widths = (max(0.8, 1.3 * step), max(1.6, 2.2 * step)) if pairs else SHARP_EV
    empty = np.empty((0, at.size))
    return search(at, one.value[inside] / level, empty, Sought(places, splits, widths))
