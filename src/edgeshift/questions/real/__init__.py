"""Is the difference real? Three rungs for each edge and each treated arm, and one line for all."""

from __future__ import annotations

import math
from collections.abc import Mapping

from edgeshift.questions.real.answers import edge_answer
from edgeshift.questions.real.asking import Asked, ask_edge, treated_arms
from edgeshift.questions.real.family import holm_levels
from edgeshift.questions.real.looks import (
    Look,
    Standing,
    complete_now,
    level_of_look,
    looks_in,
    planned_units,
    treated_in,
)
from edgeshift.questions.real.nest import ArmMean, mean_of_arm
from edgeshift.questions.real.rungs import RUNGS
from edgeshift.questions.real.summary import ORDER as VERDICTS
from edgeshift.questions.real.summary import summary, warn_all
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer
from edgeshift.records.comparison import Comparison
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.once import Once
from edgeshift.records.shift_state import ShiftState

Standings = Mapping[str, Mapping[str, Standing]]
"""How each edge stands with its looks, by edge and treated arm."""


def answers(
    sets: Mapping[str, EdgeSet],
    experiment: Experiment,
    comparisons: Mapping[str, Comparison],
    remembered: dict | None = None,
    standings: Standings | None = None,
) -> list[Answer]:
    """One answer for each edge and treated arm, then one (edge None) that sums them up.

    `comparisons` holds one entry for each edge of `sets`. Family edges share the price of being asked
    together (Holm); control edges and those outside stand at the plain level. Several treated arms against
    one control multiply each chance by their number. `standings` say which looks were taken; None: nobody
    keeps a book, and every third rung is judged as if this were its only look. `remembered` spares a caller
    who keeps his edge sets and experiment alive from climbing the same ladder twice.
    """
    once = Once(remembered)
    asked = [
        one
        for edge, edge_set in sets.items()
        for one in once(
            ("asked", id(edge_set), id(experiment), comparisons[edge], _key(standings, edge)),
            lambda edge=edge, edge_set=edge_set: ask_edge(
                edge_set, experiment, comparisons[edge], standings and standings[edge], once
            ),
        )
    ]
    levels, family = _levels(asked, experiment), _family(asked, experiment)
    each = [
        once(
            ("answer", id(one), tuple(levels[one.name].items()), bool(family - {one.name})),
            lambda one=one: edge_answer(one, levels[one.name], sets[one.edge], bool(family - {one.name})),
        )
        for one in asked
    ]
    return [*warn_all(each), summary(each, asked)]


def due(sets: Mapping[str, EdgeSet], experiment: Experiment, state: ShiftState) -> list[Look]:
    """The looks at units that have become due: one for each edge and treated arm with a new complete unit."""
    level, arrived = experiment.recipe.compare.level, state.arrivals.values()
    last = max((arrival.number for arrival in arrived), default=0)
    found = []
    for edge, edge_set in sets.items():
        for treated in treated_arms(edge_set, experiment):
            arms = (experiment.control.name, treated)
            units = complete_now(edge_set, experiment, *arms)
            earlier = looks_in(state.looks, edge, treated, treated_in(experiment))
            planned = earlier[0].planned if earlier else planned_units(experiment, edge, *arms)
            spends = level_of_look(units, planned, level, earlier)
            if spends:
                found.append(Look(edge, *arms, units, planned, spends, last))
    return found


def _key(standings: Standings | None, edge: str) -> tuple | None:
    return standings and tuple((arm, standing.key) for arm, standing in standings[edge].items())


def _levels(asked: list[Asked], experiment: Experiment) -> dict[str, dict[str, float]]:
    """For each asked comparison the level of every rung; a third rung's is what its look may spend of it."""
    level = experiment.recipe.compare.level
    levels: dict[str, dict[str, float]] = {one.name: {} for one in asked}
    for rung in RUNGS:
        share = {one.name: one.judged.share(level) if rung == "units" else 1.0 for one in asked}
        family = {
            one.name: one.chance(rung) / share[one.name]
            for one in asked
            if one.comparison.role == "family" and one.testable(rung)
        }
        if rung == "units":
            family |= dict.fromkeys(_family(asked, experiment) - family.keys(), math.inf)
        held = holm_levels(family, level)
        for one in asked:
            levels[one.name][rung] = held.get(one.name, level) / one.arms * share[one.name]
    return levels


def _family(asked: list[Asked], experiment: Experiment) -> set[str]:
    """Names of the family comparisons that the text plans or that have begun.

    All of them count from the start: were the price to grow as edges come in, an earlier third rung would
    change between its looks, and the first edge would have been judged too cheaply.
    """
    treated = treated_in(experiment)
    planned = {f"{p.edge}/{arm}" for p in experiment.edges if p.role == "family" for arm in treated}
    return planned | {one.name for one in asked if one.comparison.role == "family"}


__all__ = [
    "VERDICTS",
    "ArmMean",
    "Look",
    "Standing",
    "Standings",
    "answers",
    "due",
    "looks_in",
    "mean_of_arm",
    "treated_in",
]
