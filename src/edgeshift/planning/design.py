"""A design as it was said, and how many units it truly has: what received its treatment on its own counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from edgeshift.planning.said import Groups

Portions = Literal["spots", "powder", "pieces"]


@dataclass(frozen=True)
class ArmSaid:
    """One arm: its units as they were counted by the group, and who of them is not on its own.

    `portions` are units that are spots or portions of one thing, `together` those that shared one run of the
    treatment or one place; None: not said. `apart` is how many could still get a run of their own.
    """

    name: str
    units: tuple[str, ...]
    portions: Groups | None = None
    portions_are: Portions | None = None
    together: Groups | None = None
    apart: int | None = None

    @property
    def things(self) -> Groups:
        """The units by the thing they are portions of."""
        return _joined(self.units, self.portions or ())

    @property
    def branches(self) -> Groups:
        """The units that count: everything that is one thing or shared one run is one of them."""
        return _joined(self.units, (*(self.portions or ()), *(self.together or ())))

    @property
    def counted(self) -> int:
        """How many units that is."""
        return len(self.branches)


@dataclass(frozen=True)
class EdgeSaid:
    """One edge: the number that is compared (None: the whole curve), what is known of it, its standard."""

    edge: str
    feature: Mapping[str, Any] | None = None
    scatter: float | None = None
    matters: float | None = None
    standard: str | None = None


@dataclass(frozen=True)
class Pairing:
    """Whether units of different arms belong together, row by row; `uneven` where rows have gaps.

    `same_piece`: measured before and after; `kept_back`: some were left as they were and measured both times.
    None: not said.
    """

    rows: bool
    uneven: bool = False
    same_piece: bool | None = None
    kept_back: bool | None = None


@dataclass(frozen=True)
class Design:
    """A finished interview. What was not said is None; `control` is None where no arm was left as it was.

    Of `by_the_way`, `itself` is the treatment and does not merely come with it. `concerns`: the treatment or
    the question concern the control edge's element.
    """

    question: str
    arms: tuple[ArmSaid, ...]
    control: str | None
    pairing: Pairing
    made: bool
    one_source: bool | None
    could_swap: bool | None
    steps_apart: bool | None
    by_the_way: tuple[str, ...] | None
    itself: tuple[str, ...] | None
    same_by_the_way: str | None
    specimens: Mapping[str, tuple[str, ...]]
    edges: tuple[EdgeSaid, ...]
    touches: tuple[str, ...]
    control_edge: str
    concerns: bool | None
    blanks: tuple[str, ...]
    order: Literal["turn", "arms"] | None
    spots: int
    scans: int

    @property
    def base(self) -> ArmSaid:
        """The arm that the others are compared with: the control, else the first."""
        return next((arm for arm in self.arms if arm.name == self.control), self.arms[0])

    @property
    def others(self) -> tuple[ArmSaid, ...]:
        """The arms that are compared with it."""
        return tuple(arm for arm in self.arms if arm is not self.base)

    @property
    def asked_edges(self) -> tuple[EdgeSaid, ...]:
        """The edges that the question is about."""
        return tuple(each for each in self.edges if each.edge != self.control_edge)

    @property
    def comes_with_it(self) -> tuple[str, ...]:
        """What comes by the way and is not the treatment itself."""
        return tuple(way for way in self.by_the_way or () if way not in (self.itself or ()))

    @property
    def comparisons(self) -> int:
        """How many comparisons share one level."""
        return len(self.others) * len(self.asked_edges)


@dataclass(frozen=True)
class Counts:
    """What one comparison rests on: units of both arms that count, or whole pairs of them."""

    treated: str
    first: int
    second: int
    paired: bool

    @property
    def fewest(self) -> int:
        """Of the smaller arm."""
        return min(self.first, self.second)


def counts(design: Design) -> tuple[Counts, ...]:
    """For every arm but the control. Units that share a run have no partner, so nothing is paired then."""
    base = design.base
    alone = all(arm.counted == len(arm.units) for arm in design.arms)
    paired = design.pairing.rows and alone

    def one(arm: ArmSaid) -> Counts:
        if paired:
            whole = min(len(base.units), len(arm.units))
            return Counts(arm.name, whole, whole, True)
        return Counts(arm.name, base.counted, arm.counted, False)

    return tuple(map(one, design.others))


def weakest(design: Design) -> Counts:
    """The comparison with the fewest units."""
    return min(counts(design), key=lambda each: (each.fewest, each.first + each.second))


def _joined(units: tuple[str, ...], groups: Groups) -> Groups:
    """Every unit in one group: groups that have a member in common are one."""
    of = {unit: {unit} for unit in units}
    for group in groups:
        whole = set().union(*(of[unit] for unit in group))
        for unit in whole:
            of[unit] = whole
    seen: list[set[str]] = []
    for unit in units:
        if of[unit] not in seen:
            seen.append(of[unit])
    return tuple(tuple(unit for unit in units if unit in group) for group in seen)
