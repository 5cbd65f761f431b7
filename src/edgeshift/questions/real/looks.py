"""Looks at the units: when one is due, what share of the level it may spend, and what it was taken of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from edgeshift.questions.real.nest import by_pair
from edgeshift.recipe.experiment import Experiment, Unit
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.event import Event
from edgeshift.records.scan import Place

FEWEST = 2
"""With fewer units in an arm there is nothing to judge by, so there is no look."""
_NOTHING = 1e-9
"""A share of the level below this is a rounding of nothing."""


@dataclass(frozen=True)
class Look:
    """One look at the third rung of an edge and a treated arm, as the book holds it.

    `units` is the number of complete units in the smaller arm (or of complete pairs), `planned` the number
    that the level is shared by, `level` what this look spent, `arrivals` the number of the last arrival that
    was in by then, `number` the look's own line in the book.
    """

    edge: str
    control: str
    treated: str
    units: int
    planned: int
    level: float
    arrivals: int
    number: int = 0

    @property
    def payload(self) -> dict[str, Any]:
        """What the event holds."""
        told = asdict(self)
        del told["number"]
        return {"question": "real", **told}


@dataclass(frozen=True, eq=False)
class Standing:
    """How an edge and a treated arm stand with their looks: the looks so far, and the edge as of the last.

    `sight` holds only the scans that were in by the last look, under everybody's present decisions; `acts`
    counts the decisions since. `unwritten` says that a look was due and could not be written in the book.
    """

    looks: tuple[Look, ...]
    sight: EdgeSet | None = None
    acts: int = 0
    unwritten: bool = False

    @property
    def key(self) -> tuple:
        """Equal where nothing that bears on an answer differs, as long as the edge set is kept alive."""
        return (self.looks, id(self.sight), self.acts, self.unwritten)


def looks_in(events: Iterable[Event], edge: str, treated: str, named: Collection[str]) -> tuple[Look, ...]:
    """The looks of one edge and treated arm among the look events of a book, in order.

    `named` are the treated arms that the text names now. Looks at an arm that is none of them count too
    where they came before this arm's own: another name for the same units brings no level back.
    """
    here = [look for look in map(_look, events) if look and look.edge == edge]
    own = [look for look in here if look.treated == treated]
    before = [look for look in here if look.treated not in named and (not own or look.number < own[0].number)]
    return (*before, *own)


def _look(event: Event) -> Look | None:
    """None where the event is no look at the units."""
    told = event.payload
    if told.get("question") != "real":
        return None
    parts = ("edge", "control", "treated", "units", "planned", "level", "arrivals")
    return Look(*(told[part] for part in parts), number=event.number)


def treated_in(experiment: Experiment) -> list[str]:
    """The arms of the text but the control, in its order."""
    return [arm.name for arm in experiment.arms if arm != experiment.control]


def level_of_look(units: int, planned: int, level: float, earlier: Sequence[Look]) -> float:
    """What a look at `units` may spend; 0.0 where none is due.

    Every number of units from two to the planned one owns an equal share of the level. A look spends its own
    share and those of the looks before it that were never taken. The plan of the first look stays in force.
    """
    planned = earlier[0].planned if earlier else planned
    if min(units, planned) < FEWEST or (earlier and units <= earlier[-1].units):
        return 0.0
    allowed = level * min(1.0, (units - 1) / (planned - 1))
    left = allowed - sum(look.level for look in earlier)
    return left if left > _NOTHING * level else 0.0


def next_look_at(planned: int, level: float, earlier: Sequence[Look]) -> int | None:
    """The number of complete units at which the third rung is judged next; None: never again."""
    units = earlier[-1].units + 1 if earlier else FEWEST
    return units if level_of_look(units, planned, level, earlier) else None


def complete_units(edge_set: EdgeSet, experiment: Experiment, arm: str) -> tuple[Unit, ...]:
    """Units of an arm with as many spots as planned, each with as many scans, as the text has them."""
    spots = experiment.plan_for(edge_set.edge).spots_per_unit
    done = full_spots(edge_set, experiment)
    return tuple(u for u in experiment.units if u.arm == arm and done.get(u.name, 0) >= spots)


def full_spots(edge_set: EdgeSet, experiment: Experiment) -> dict[str, int]:
    """For each unit that has a kept scan, its number of spots with all their planned scans.

    A scan that a person set aside counts as come: nobody waits for it, and a plan that a lost spot could
    never meet would leave the whole shift unjudged. One that only the tool set aside is still to be repeated.
    """
    return _full_spots(edge_set, experiment, edge_set.given_up)


def waits_for_a_scan(edge_set: EdgeSet, experiment: Experiment, arms: Collection[str]) -> bool:
    """Whether a unit of these arms would be complete but for scans that only the tool set aside."""
    spots = experiment.plan_for(edge_set.edge).spots_per_unit
    now = full_spots(edge_set, experiment)
    then = _full_spots(edge_set, experiment, edge_set.set_aside)
    return any(now.get(u.name, spots) < spots <= then[u.name] for u in experiment.units if u.arm in arms)


def _full_spots(edge_set: EdgeSet, experiment: Experiment, came_too: Collection[str]) -> dict[str, int]:
    scans = experiment.plan_for(edge_set.edge).scans_per_spot
    came: Counter[tuple] = Counter()
    for spot in edge_set.spots:
        came[_spot_of(spot.place)] += len(spot.scans)
    came.update(_spot_of(each.scan.place) for each in edge_set.passes if each.scan.key in came_too)
    found = {spot.place.unit: 0 for spot in edge_set.spots if spot.place.unit}
    for (unit, *_), count in came.items():
        if unit in found:
            found[unit] += count >= scans
    return found


def _spot_of(place: Place) -> tuple[str | None, str | None, str | None]:
    return place.unit, place.specimen, place.spot


def counted(control: Sequence[Unit], treated: Sequence[Unit]) -> int:
    """Complete pairs where every unit has a pair; else the units of the smaller arm."""
    first, second, paired = by_pair(tuple(control), tuple(treated))
    if not paired and control and treated and all(unit.pair for unit in (*control, *treated)):
        return 0  # split before treating, and no two halves of one pair are here yet
    return min(len(first), len(second))


def complete_now(edge_set: EdgeSet, experiment: Experiment, control: str, treated: str) -> int:
    """How many units of the smaller arm, or how many pairs, are complete."""
    return counted(*(complete_units(edge_set, experiment, arm) for arm in (control, treated)))


def planned_units(experiment: Experiment, edge: str, control: str, treated: str) -> int:
    """Units per arm (or pairs) that the level is shared by: the plan's, else those in the text."""
    said = experiment.plan_for(edge).units_per_arm
    arms = (tuple(u for u in experiment.units if u.arm == arm) for arm in (control, treated))
    return said or counted(*arms)
