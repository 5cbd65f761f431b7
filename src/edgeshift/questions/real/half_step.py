"""How far apart the arms rise through half a step."""

from __future__ import annotations

import math

import numpy as np

from edgeshift.numerics.features import crossing
from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.nest import Nest
from edgeshift.questions.real.verdict import Evidence, features_between, features_within
from edgeshift.records.answer import Fact, Ref
from edgeshift.wording import real as words
from edgeshift.wording.bands import minus


def half_step(asked: Asked, levels: dict[str, float]) -> list[Fact]:
    """One number a unit, treated minus control; only at K edges with curves in edge steps.

    Its give-or-take rests on units, in pairs where they are; with one unit in an arm on the spots inside
    units, and where nothing was repeated it has none.
    """
    nest = asked.nest
    if nest.curve_unit != "step" or not nest.edge.endswith(" K"):
        return []
    rises = [
        [np.array([crossing(nest.energy_ev, s.curve, 0.5) for s in u.spots]) for u in units]
        for _, units in nest.arms
    ]
    if not all(np.all(np.isfinite(unit)) for side in rises for unit in side):
        return []
    control, treated = (_of_units(nest, rises, arm) for arm in (0, 1))
    apart = float(treated.mean() - control.mean())
    ladder = {
        "units": features_between(control, treated, nest.paired),
        "spots": features_within(apart, [unit for side in rises for unit in side], _weight(nest)),
    }
    rung = next((r for r, found in ladder.items() if found.testable), None)
    apart_of = minus(nest.control, nest.treated)
    told = words.half_step(apart_of, rung, asked.judged_as_shown(rung or "units"))
    refs = tuple(Ref("unit", u.unit) for _, units in nest.arms for u in units)
    return [Fact("half-step", told, apart, _half(ladder, rung, levels), "eV", refs)]


def _half(ladder: dict[str, Evidence], rung: str | None, levels: dict[str, float]) -> float | None:
    half = float(ladder[rung].band(levels[rung]).half_width[0]) if rung else math.inf
    return half if math.isfinite(half) else None


def _of_units(nest: Nest, rises: list[list[np.ndarray]], arm: int) -> np.ndarray:
    units = nest.arms[arm][1]
    return np.array([float(u.weights @ spots) for u, spots in zip(units, rises[arm], strict=True)])


def _weight(nest: Nest) -> float:
    """What the variance of one spot weighs in the difference of the arms."""
    return sum(float(np.sum(u.weights**2)) / len(units) ** 2 for _, units in nest.arms for u in units)
