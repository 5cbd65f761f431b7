"""Looks at the third rung: when one is due, and what it was taken of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from edgeshift.questions.level_shares import (
    FEWEST,
    Look,
    level_of_look,
    looks_in,
    next_look_at,
    treated_in,
)
from edgeshift.questions.real.nest import by_pair
from edgeshift.recipe.experiment import Experiment, Unit
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.scan import Place


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


__all__ = [
    "FEWEST",
    "Look",
    "Standing",
    "complete_now",
    "complete_units",
    "counted",
    "full_spots",
    "level_of_look",
    "looks_in",
    "next_look_at",
    "planned_units",
    "treated_in",
    "waits_for_a_scan",
]
