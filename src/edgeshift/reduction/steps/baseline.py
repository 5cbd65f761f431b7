"""Take away what would be there without the edge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from edgeshift.numerics.baselines import baseline, main_way
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.spectrum import Pass, SharedTerm, Spectrum

NAME = "baseline"
AFTER = "average"
FEWEST_POINTS = 4


def run(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """Every curve minus its baseline; the spread over sane choices becomes a shared term.

    The recipe must be settled: its stretch below the edge and its degree are numbers, not empty. A curve
    with too few points there keeps its level and says so.
    """
    return tuple(replace(each, curve=_without(each.curve, recipe)) for each in passes)


def sentence(passes: tuple[Pass, ...], recipe: Recipe) -> str:
    """One methods sentence."""
    low, high = recipe.baseline.below_ev
    kind = ("A level", "A straight line", "A parabola")[recipe.baseline.degree]
    return f"{kind} through {low:.1f} to {high:.1f} eV was taken away from every curve."


def _without(curve: Spectrum, recipe: Recipe) -> Spectrum:
    low, high = recipe.baseline.below_ev
    inside = (curve.energy_ev >= low) & (curve.energy_ev <= high)
    there = int((inside & np.isfinite(curve.value)).sum())
    if there < max(FEWEST_POINTS, recipe.baseline.degree + 2):
        doubt = f"Only {there} points lie below the edge, so no baseline was taken away."
        return replace(curve, doubts=(*curve.doubts, doubt))
    chosen = baseline(curve.energy_ev, curve.value, inside, recipe.baseline.degree)
    term = SharedTerm("baseline choice", f"baseline of {curve.edge}", _spread(curve, inside, chosen, recipe))
    return replace(curve, value=curve.value - chosen, shared=(*curve.shared, term))


def _spread(curve: Spectrum, inside: np.ndarray, chosen: np.ndarray, recipe: Recipe) -> np.ndarray:
    """The main way in which the curve moves when the baseline is chosen otherwise, one s.d. of it.

    Sane choices: the stretch shortened by a third at either end, and a line in place of a level or a level
    in place of a line.
    """
    low, high = recipe.baseline.below_ev
    third = (high - low) / 3
    energy = curve.energy_ev
    degree = recipe.baseline.degree
    others = [
        (inside & (energy <= high - third), degree),
        (inside & (energy >= low + third), degree),
        (inside, 0 if degree else 1),
    ]
    moves = [
        chosen - baseline(energy, curve.value, part, power)
        for part, power in others
        if (part & np.isfinite(curve.value)).sum() >= max(FEWEST_POINTS, power + 2)
    ]
    return main_way(np.vstack(moves)) if moves else np.zeros(len(energy))
