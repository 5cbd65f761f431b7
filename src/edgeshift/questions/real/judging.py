"""What the third rung is judged from: the complete units of its last look, and why it waits."""

from __future__ import annotations

from dataclasses import dataclass

from edgeshift.questions.real import looks
from edgeshift.questions.real.looks import Look, Standing
from edgeshift.questions.real.nest import Nest, nest
from edgeshift.questions.real.rungs import Ladder, climb
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.comparison import Comparison
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.once import Once
from edgeshift.wording import looks as words


@dataclass(frozen=True)
class Judged:
    """The nest and ladder of the third rung; the very same objects as those shown where nothing differs.

    `planned_now` is what the text plans, whatever the first look's plan was (None: nobody keeps a book).
    `level_of_look` is what the last look spent (None: the whole level, nobody keeps a book). `why` says why
    there is no judgement, `frozen` why it rests on less than what is shown, `next_at` at how many complete
    units (None: never) it is judged next, `act` what would bring that about, `acts` how many decisions were
    taken about the same look since.
    """

    nest: Nest | None = None
    ladder: Ladder | None = None
    looks: tuple[Look, ...] = ()
    level_of_look: float | None = None
    why: str = ""
    frozen: str = ""
    next_at: int | None = None
    act: str = ""
    acts: int = 0
    planned_now: int | None = None

    @property
    def plan_changed(self) -> bool:
        """Whether the text plans another number of units than at the first look."""
        return bool(self.looks) and self.looks[0].planned != self.planned_now

    def share(self, level: float) -> float:
        """What part of the level of one answer this look may use."""
        return 1.0 if self.level_of_look is None else self.level_of_look / level


def judged_by_looks(
    edge_set: EdgeSet,
    experiment: Experiment,
    shown: Judged,
    standing: Standing,
    comparison: Comparison,
    once: Once,
) -> Judged:
    """The third rung as of its last look. `shown` holds the nest and ladder of everything that is kept."""
    arms = (shown.nest.control, shown.nest.treated)
    level = experiment.recipe.compare.level
    planned = looks.planned_units(experiment, edge_set.edge, *arms)
    next_at = looks.next_look_at(planned, level, standing.looks)
    for_a_scan = looks.waits_for_a_scan(edge_set, experiment, arms)
    if not standing.looks:
        waiting = _waiting(edge_set, experiment, shown.nest, standing, planned, next_at)
        why = _why_no_look(edge_set, experiment, arms, waiting)
        # What the first look would spend, for the band that is shown meanwhile.
        spends = looks.level_of_look(next_at, planned, level, ()) if next_at else None
        act = words.act(waiting, next_at, shown.nest.paired, for_a_scan)
        return Judged(level_of_look=spends, why=why, next_at=next_at, act=act, planned_now=planned)
    last = standing.looks[-1]
    units = [looks.complete_units(standing.sight, experiment, arm) for arm in arms]
    common = {"looks": standing.looks, "level_of_look": last.level, "next_at": next_at, "acts": standing.acts}
    common["planned_now"] = planned
    names = frozenset(unit.name for side in units for unit in side)
    enough = looks.counted(*units) >= looks.FEWEST
    if enough and standing.sight is edge_set and names >= _units_in(shown.nest):
        return Judged(shown.nest, shown.ladder, **common)
    waiting = _waiting(edge_set, experiment, shown.nest, standing, planned, next_at)
    common["act"] = words.act(waiting, next_at, shown.nest.paired, for_a_scan)
    if not enough:
        return Judged(why=words.too_few_left(last.units), **common)
    found = nest(standing.sight, experiment, arms, comparison.feature, once, names)
    ladder = climb(found, comparison.feature is not None)
    return Judged(found, ladder, frozen=words.frozen(last.units, shown.nest.paired, waiting), **common)


def _waiting(
    edge_set: EdgeSet,
    experiment: Experiment,
    shown: Nest,
    standing: Standing,
    planned: int,
    next_at: int | None,
) -> str:
    """What the third rung waits for."""
    if standing.unwritten:
        return "unwritten"
    if next_at is None and standing.looks:
        return "spent" if planned == standing.looks[0].planned else "plan-changed"
    if next_at is None:
        return "spent" if planned >= looks.FEWEST else "unplanned"
    if looks.complete_now(edge_set, experiment, shown.control, shown.treated) >= next_at:
        return "not-looked"
    return "pair" if shown.paired else "unit"


def _units_in(found: Nest) -> set[str]:
    return {unit.unit for _, units in found.arms for unit in units}


def _why_no_look(edge_set: EdgeSet, experiment: Experiment, arms: tuple[str, str], waiting: str) -> str:
    """Why there was no look at all yet; where a unit is awaited, the first one that was begun."""
    if waiting in words.NO_LOOK:
        return words.NO_LOOK[waiting]
    full, plan = looks.full_spots(edge_set, experiment), experiment.plan_for(edge_set.edge)
    for unit in experiment.units:
        if unit.arm in arms and full.get(unit.name, plan.spots_per_unit) < plan.spots_per_unit:
            return words.incomplete(unit.name, full[unit.name], plan.spots_per_unit, plan.scans_per_spot)
    return words.NO_PAIR
