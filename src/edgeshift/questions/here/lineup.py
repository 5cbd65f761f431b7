"""The impostor line-up: everything else that could make the same bump, excluded or not yet, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from edgeshift.numerics.completeness import landmarks
from edgeshift.numerics.echo import Echo, echo_of
from edgeshift.numerics.edge_search import SLOW_EV
from edgeshift.numerics.likeness import left_marks, structure_share
from edgeshift.questions.here.material import Material
from edgeshift.questions.here.searching import Evidence
from edgeshift.tables.edge_kinds import atomic_number, kind_of
from edgeshift.tables.edges import REACH_ABOVE_EV, EdgeFamily, families, split_ev
from edgeshift.tables.mounts import FINGERPRINTS, ON_MOUNTS

ORDERS = (2, 3)
ABOVE_LINE_EV = 4.0
"""A higher order is looked for from an edge's lowest tabulated energy to so far above its white line."""
COMMON = 30
"""Of what was never measured only elements up to this number are listed as sources of a higher order: the
matter that specimens are made of (common practice, no source)."""
APART_EV = 1.2
"""Distances of two lines that differ by more than this are told apart."""
MONITOR_GIVES_BACK = 0.5
"""A dirty monitor gives about this share of a mark back, which a division then leaves (practice, no
source)."""
LIKE_THE_BLANK = 0.9
"""A scan whose structure is this much the blank's own shows no specimen."""
ECHO_SHARE, ECHO_SURE, ECHO_EXPLAINS = 0.004, 3.0, 0.5
"""An echo of this share of the level, so many errors from nothing, that explains so much of what is not
smooth, fits (practice, no source)."""

RIDDEN_EV = 40.0
"""Structure above an edge reaches so far (common practice, no source)."""
DECISIVE = (
    "fits",
    "same-place",
    "no-i0",
    "beam-marks",
    "beam-as-large",
    "like-the-blank",
    "partner-unscanned",
)
"""Reasons that keep an element from being called seen while they stand."""


@dataclass(frozen=True)
class Impostor:
    """One suspect. `kind` is second-order, third-order, neighbour, rides, beam or blank; `what` names it;
    `excluded` says whether it is; `reason` is a closed code with `numbers` for its words; `window_ev` is
    from where to where in the spectrum it could stand, None where no stretch is its own."""

    kind: str
    what: str
    excluded: bool
    reason: str
    numbers: Mapping[str, Any] = field(default_factory=dict)
    window_ev: tuple[float, float] | None = None

    @property
    def decisive(self) -> bool:
        """Whether it alone forbids to call the element seen."""
        return not self.excluded and self.reason in DECISIVE


@dataclass(frozen=True)
class World:
    """What else is known: every scan's evidence by family, the scans by key, and which specimens are
    blanks."""

    evidence: Mapping[str, list[Evidence]]
    scans: Mapping[str, Material]
    blanks: frozenset[str]

    def of(self, family: str, specimen: str | None = None) -> list[Evidence]:
        """Evidence for a family, of one specimen where one is named."""
        every = self.evidence.get(family, [])
        return [e for e in every if specimen is None or self.scans[e.scan].specimen == specimen]

    def white_line(self, family: EdgeFamily) -> float:
        """Where its first strong line stood in this shift; unmeasured: as far up as white lines are found."""
        seen = [e for e in self.of(family.name) if e.state == "found"]
        if not seen:
            return family.edges[0].high_ev + REACH_ABOVE_EV - ABOVE_LINE_EV
        best = max(seen, key=lambda e: e.found.strength)
        return best.found.at_ev + (0.0 if best.kind == "lines" else ABOVE_LINE_EV)


def lineup(target: Evidence, world: World) -> tuple[Impostor, ...]:
    """Every suspect for what stands, or would stand, at one edge of one scan."""
    one = world.scans[target.scan]
    found = [
        *_orders(target, one, world),
        *_neighbours(target, one, world),
        *_ridden(target, one, world),
        *_beam(target, one, world),
        *_blanks(target, one, world),
    ]
    return tuple(sorted(found, key=lambda each: (each.excluded, each.kind, each.what)))


def _orders(target: Evidence, one: Material, world: World) -> Iterator[Impostor]:
    for order in ORDERS:
        kind = "second-order" if order == 2 else "third-order"
        for source in families():
            measured = world.of(source.name)
            if source.element == target.family.element or not _meets(target, source, order, world):
                continue
            if not measured and (atomic_number(source.element) > COMMON or kind_of(source) == "slow"):
                continue
            echo, held = _echo(target, one, source, order, world), _reach(source, order, world)
            if echo is not None and _fits(echo):
                numbers = {"percent": 100.0 * echo.share, "at": echo.top_ev, "sigma": 100.0 * echo.sigma}
                whole = target.state == "found"
                yield Impostor(kind, source.name, whole, "beside" if whole else "fits", numbers, held)
            elif target.state == "found" and target.kind == "lines":
                told = {"split": target.found.split_ev, "theirs": split_ev(source.name) / order}
                apart = abs(told["split"] - told["theirs"]) > APART_EV
                yield Impostor(kind, source.name, apart, "twin-stands" if apart else "fits", told, held)
            elif measured and all(e.state == "nothing" for e in measured):
                yield Impostor(kind, source.name, True, "not-here", window_ev=held)
            elif echo is not None:
                told = {"percent": 100.0 * echo.share}
                yield Impostor(kind, source.name, True, "other-shape", told, held)
            else:
                yield Impostor(kind, source.name, False, "unmeasured", window_ev=held)


def _reach(source: EdgeFamily, order: int, world: World) -> tuple[float, float]:
    """Where the source's lines, seen at a fraction of their energy, may stand in the spectrum."""
    high = max(world.white_line(source), source.edges[0].high_ev) + ABOVE_LINE_EV
    return source.edges[0].low_ev / order, high / order


def _meets(target: Evidence, source: EdgeFamily, order: int, world: World) -> bool:
    """Whether the source's lines, seen at a fraction of their energy, fall where the target stands."""
    low, high = _reach(source, order, world)
    if target.state in ("found", "alone", "slow"):
        reach = target.found.at_ev - target.found.width_ev, target.last_ev + target.found.width_ev
        if target.kind != "lines":
            reach = target.found.at_ev - 2.0, target.found.at_ev + 2.0
    else:
        reach = target.family.edges[0].low_ev, target.family.edges[0].line_reach[1]
    return low <= reach[1] and high >= reach[0]


def _echo(target: Evidence, one: Material, source: EdgeFamily, order: int, world: World) -> Echo | None:
    """How well a measured source's own curve, read at a multiple of the energy, fits this scan."""
    theirs = [world.scans[e.scan] for e in world.of(source.name) if e.state == "found"]
    theirs.sort(key=lambda each: (each.specimen != one.specimen, each.step_ev))
    if not theirs or theirs[0].key == one.key or theirs[0].step_ev > 1.0 * order:
        return None
    at, value, tail = one.energy_ev, one.value, float("nan")
    if target.state == "found":
        tail = target.last_ev
        own = (at > target.found.at_ev - 6.0) & (at < tail + 0.004 * tail)
        value = np.where(own, np.nan, value)
    return echo_of((at, value), (theirs[0].energy_ev, theirs[0].value), order, tail)


def _fits(echo: Echo) -> bool:
    sure = echo.share > max(ECHO_SHARE, ECHO_SURE * echo.sigma)
    return sure and echo.explains >= ECHO_EXPLAINS


def _neighbours(target: Evidence, one: Material, world: World) -> Iterator[Impostor]:
    """Other elements whose own window holds the same place."""
    if target.state not in ("found", "alone"):
        return
    place = target.found.at_ev
    for other in families():
        low, high = other.edges[0].line_reach
        if other.element == target.family.element or not low <= place <= high:
            continue
        excluded, reason, numbers = _against(target, other)
        theirs = [e for e in world.of(other.name) if e.scan == target.scan]
        if not excluded and any(e.state == "nothing" for e in theirs):
            excluded, reason = True, "not-here"
        yield Impostor("neighbour", other.name, excluded, reason, numbers, (low, high))


def _against(target: Evidence, other: EdgeFamily) -> tuple[bool, str, dict[str, Any]]:
    """Whether what was found cannot be this neighbour's."""
    kind, split = kind_of(other), split_ev(other.name)
    if other.name in target.rivals:
        return False, "same-place", {}
    if kind == "slow":
        return target.found.width_ev < SLOW_EV, "too-sharp", {}
    if target.kind == "lines" and target.state == "found" and not target.beyond:
        if kind == "step":
            return True, "twin-stands", {"split": target.found.split_ev}
        apart = abs(split - target.found.split_ev) > APART_EV
        return apart, "other-spacing" if apart else "same-place", {"split": split}
    if kind == "lines":
        return True, "no-pair", {"split": split}
    if split > 0:
        return True, "no-second-step", {"split": split}
    return False, "same-place", {}


def _ridden(target: Evidence, one: Material, world: World) -> Iterator[Impostor]:
    """Edges of the same scan on whose structure this one stands."""
    for some in world.evidence.values():
        for other in some:
            if other.scan != target.scan or other.state != "found" or other is target:
                continue
            held = other.found.at_ev, other.found.at_ev + RIDDEN_EV
            if other.family.name in target.behind:
                yield Impostor("rides", other.family.name, False, "hidden", window_ev=held)
            elif target.state in ("found", "alone") and _just_below(other, target):
                whole = target.state == "found"
                yield Impostor("rides", other.family.name, whole, "allowed-for", window_ev=held)


def _just_below(other: Evidence, target: Evidence) -> bool:
    return 0.0 < target.found.at_ev - other.found.at_ev < RIDDEN_EV


def _beam(target: Evidence, one: Material, world: World) -> Iterator[Impostor]:
    """Marks of mirrors and monitor."""
    marks = FINGERPRINTS.get(target.family.element)
    if marks is None or one.energy_ev[0] > marks[0] or one.energy_ev[-1] < marks[1]:
        return
    if one.each.scan.signal == "absorption":
        yield Impostor("beam", target.family.name, False, "divided-elsewhere", window_ev=marks)
        return
    if one.beam is None:
        yield Impostor("beam", target.family.name, False, "no-i0", window_ev=marks)
        return
    others = [o for o in world.scans.values() if o is not one and o.edge == one.edge and o.beam is not None]
    mine = one.energy_ev, one.value, one.beam
    left = left_marks(mine, [(o.energy_ev, o.value, o.beam) for o in others[:5]]) if others else None
    if left is not None and left.in_curve > max(0.5, 5.0 * left.sigma) and left.in_monitor < 0.33:
        told = {"share": left.in_curve}
        yield Impostor("beam", target.family.name, False, "beam-marks", told, marks)
    elif target.found and target.state == "found" and target.amount.amount < _left_of(one, marks):
        yield Impostor("beam", target.family.name, False, "beam-as-large", window_ev=marks)
    else:
        yield Impostor("beam", target.family.name, True, "divided", window_ev=marks)


def _left_of(one: Material, marks: tuple[float, float]) -> float:
    """How large a mark a dirty monitor may leave here: that share of the beam's own structure."""
    inside = (one.energy_ev >= marks[0]) & (one.energy_ev <= marks[1])
    beam, at = one.beam[inside], one.energy_ev[inside]
    chord = np.interp(at, [at[0], at[-1]], [beam[0], beam[-1]])
    return MONITOR_GIVES_BACK * float(np.ptp(beam - chord)) / float(np.mean(beam))


def _blanks(target: Evidence, one: Material, world: World) -> Iterator[Impostor]:
    """The bare mounts, where they were measured."""
    if one.specimen in world.blanks:
        return
    held = target.family.edges[0].line_reach[0], target.family.edges[-1].line_reach[1]
    theirs = [e for e in world.of(target.family.name) if world.scans[e.scan].specimen in world.blanks]
    for name in dict.fromkeys(world.scans[e.scan].specimen for e in theirs):
        own = [e for e in theirs if world.scans[e.scan].specimen == name]
        there = [e for e in own if e.state in ("found", "alone", "slow")]
        if not there:
            yield Impostor("blank", f"{{specimen:{name}}}", True, "blank-clean", window_ev=held)
            continue
        share = max(_alike(target, one, world.scans[e.scan], world) for e in there)
        like = share >= LIKE_THE_BLANK
        told, reason = {"percent": 100.0 * share}, "like-the-blank" if like else "unlike-the-blank"
        yield Impostor("blank", f"{{specimen:{name}}}", not like, reason, told, held)
    if not theirs and target.family.element in ON_MOUNTS:
        yield Impostor("blank", "", False, "blank-unmeasured", window_ev=held)


def _alike(target: Evidence, one: Material, blank: Material, world: World) -> float:
    """Share of the scan's structure near this edge that is the blank's own, other elements' lines left
    aside."""
    low = max(one.energy_ev[0], blank.energy_ev[0], target.family.edges[0].low_ev - 25.0)
    high = min(one.energy_ev[-1], blank.energy_ev[-1], target.family.edges[-1].high_ev + 60.0)
    use = (one.energy_ev >= low) & (one.energy_ev <= high)
    steps = []
    for some in world.evidence.values():
        for other in some:
            if (
                other.scan == one.key
                and other.state == "found"
                and other.family.element != target.family.element
            ):
                use &= ~((one.energy_ev > other.found.at_ev - 2.5) & (one.energy_ev < other.last_ev + 4.0))
                steps.append(one.energy_ev > other.found.at_ev)
    at = one.energy_ev[use]
    if at.size < 24:
        return 0.0
    beside = [step[use].astype(float) for step in steps if 0 < np.mean(step[use]) < 1]
    if one.beam is not None:
        beam = one.beam[use] / one.beam[use].mean()
        beside += [beam - 1.0, 1.0 / beam - 1.0]
    bare = np.interp(at, blank.energy_ev, blank.value)
    return structure_share(at, one.value[use], bare, np.array(beside).reshape(len(beside), at.size))


def bent_ground(target: Evidence, suspects: Iterable[Impostor]) -> Impostor | None:
    """A higher order that is not the element's impostor but bends the ground its lines stand on."""
    return next((each for each in suspects if each.reason == "beside"), None) if target.found else None


def first_line(one: Material) -> float:
    """Energy of the scan's first strong line, eV; NaN where none stands out."""
    return landmarks(one.energy_ev, one.value).top_ev
