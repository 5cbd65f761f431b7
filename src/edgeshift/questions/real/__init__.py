"""Is the difference real? Three rungs for each edge and each treated arm, and one line for all."""

from __future__ import annotations

from collections.abc import Mapping

from edgeshift.questions.real.answers import edge_answer
from edgeshift.questions.real.asking import Asked, ask_edge
from edgeshift.questions.real.family import holm_levels
from edgeshift.questions.real.summary import summary, warn_all
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer
from edgeshift.records.comparison import Comparison
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.once import Once


def answers(
    sets: Mapping[str, EdgeSet],
    experiment: Experiment,
    comparisons: Mapping[str, Comparison],
    remembered: dict | None = None,
) -> list[Answer]:
    """One answer for each edge and treated arm, then one (edge None) that sums them up.

    `comparisons` holds one entry for each edge of `sets`. Family edges share the price of being asked
    together (Holm); control edges and those outside stand at the plain level. Several treated arms against
    one control multiply each chance by their number. `remembered` spares a caller who keeps his edge sets
    and experiment alive from climbing the same ladder twice.
    """
    once = Once(remembered)
    asked = [
        one
        for edge, edge_set in sets.items()
        for one in once(
            ("asked", id(edge_set), id(experiment), comparisons[edge]),
            lambda edge=edge, edge_set=edge_set: ask_edge(edge_set, experiment, comparisons[edge], once),
        )
    ]
    levels = _levels(asked, experiment.recipe.compare.level)
    each = [
        once(
            ("answer", id(one), tuple(levels[one.name].items())),
            lambda one=one: edge_answer(one, levels[one.name], sets[one.edge]),
        )
        for one in asked
    ]
    return [*warn_all(each), summary(each, asked)]


def _levels(asked: list[Asked], level: float) -> dict[str, dict[str, float]]:
    """For each asked comparison the level of every rung."""
    levels: dict[str, dict[str, float]] = {one.name: {} for one in asked}
    for rung in ("scans", "spots", "units"):
        family = {
            one.name: one.chance(rung)
            for one in asked
            if one.comparison.role == "family" and one.testable(rung)
        }
        held = holm_levels(family, level)
        for one in asked:
            levels[one.name][rung] = held.get(one.name, level) / one.arms
    return levels
