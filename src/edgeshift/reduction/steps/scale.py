"""Call the edge step one, or say that there is no usable step."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from edgeshift.numerics.edges import step_height
from edgeshift.numerics.features import mean_in
from edgeshift.numerics.grids import bridged
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.spectrum import Pass, SharedTerm, Spectrum

NAME = "scale"
AFTER = "baseline"
NO_STEP = "No usable edge step:"
LEAST_STRETCH_EV = 4.0
"""A step is not read from fewer eV than this above the edge (common practice, no source)."""
LEVEL_SHARE = 1.0
"""A curve that changes by more than its own mean up there has no level (common practice, no source)."""


def run(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """Every curve divided by its edge step or by its mean above the baseline.

    A curve without a usable step is scaled by area, and the reason stands among its doubts.
    """
    return tuple(replace(each, curve=_scaled(each.curve, recipe)) for each in passes)


def sentence(passes: tuple[Pass, ...], recipe: Recipe) -> str:
    """One methods sentence."""
    if recipe.scale.method == "none":
        return "The curves were not scaled."
    if any(each.curve is not None and each.curve.unit == "area" for each in passes):
        return f"{NO_STEP} every curve was divided by its mean height above the baseline."
    low, high = recipe.scale.above_ev
    return f"Every curve was divided by its edge step, its mean over {low:.1f} to {high:.1f} eV."


def _scaled(curve: Spectrum, recipe: Recipe) -> Spectrum:
    if recipe.scale.method == "none":
        return curve
    reason = no_step_because(curve, recipe) if recipe.scale.method == "step" else None
    if recipe.scale.method == "area" or reason:
        return _by_area(curve, reason)
    return _by_step(curve, recipe)


def no_step_because(curve: Spectrum, recipe: Recipe) -> str | None:
    """Why this baseline-free curve has no usable edge step, in one sentence; None where it has one."""
    low, high = recipe.scale.above_ev
    inside = (curve.energy_ev >= low) & (curve.energy_ev <= high) & np.isfinite(curve.value)
    if any("no baseline was taken away" in doubt for doubt in curve.doubts):
        return f"{NO_STEP} the scan has no stretch below the edge."
    if inside.sum() < 3 or high - low < LEAST_STRETCH_EV:
        return f"{NO_STEP} only {max(high - low, 0):.1f} eV lie above the edge."
    step = step_height(curve.energy_ev, curve.value, (low, high))
    error = _step_error(curve, inside)
    if not step > recipe.scale.least_step_sigmas * error:
        return f"{NO_STEP} it measures {step:.3g} with a give-or-take of {error:.2g}."
    change = _change_above(curve, inside)
    if abs(change) > LEVEL_SHARE * step + 2 * np.sqrt(12) * error:
        way = "falls" if change < 0 else "rises"
        percent = f"{100 * abs(change) / step:.0f} %"
        return f"{NO_STEP} above it the curve {way} by {percent} of its mean, without a level."
    return None


def _change_above(curve: Spectrum, inside: np.ndarray) -> float:
    """How far a straight line through the stretch above the edge rises from end to end.

    Its noise is sqrt(12) times that of the mean over the same evenly spaced points.
    """
    energy = curve.energy_ev[inside]
    slope, _ = np.polyfit(energy - energy.mean(), curve.value[inside], 1)
    return float(slope * np.ptp(energy))


def _step_error(curve: Spectrum, inside: np.ndarray) -> float:
    """Noise of the step; the spread over baselines is named beside the value, it does not forbid a step."""
    return float(np.sqrt(np.nansum(curve.sigma[inside] ** 2)) / inside.sum())


def _by_step(curve: Spectrum, recipe: Recipe) -> Spectrum:
    inside = (curve.energy_ev >= recipe.scale.above_ev[0]) & (curve.energy_ev <= recipe.scale.above_ev[1])
    step = step_height(curve.energy_ev, curve.value, recipe.scale.above_ev)
    noise = _step_error(curve, inside)
    scaled = _divided(curve, step, "step", lambda shape: float(shape[inside].mean()))
    term = SharedTerm("scaling", f"edge step of {curve.key}", scaled.value * noise / step)
    return replace(scaled, shared=(*scaled.shared, term))


def _by_area(curve: Spectrum, reason: str | None) -> Spectrum:
    whole = (float(curve.energy_ev[0]), float(curve.energy_ev[-1]))
    full = bridged(curve.energy_ev, curve.value)
    level = mean_in(curve.energy_ev, full, whole)
    doubts = (*curve.doubts, reason) if reason else curve.doubts
    if not level > 0:
        nothing = "The curve has no area above its baseline, so it was not scaled."
        return replace(curve, doubts=(*doubts, nothing))
    scaled = _divided(curve, level, "area", lambda shape: mean_in(curve.energy_ev, shape, whole))
    return replace(scaled, doubts=doubts)


def _divided(curve: Spectrum, level: float, unit: str, level_of) -> Spectrum:
    """The curve over its level. A shared term also moves the level, hence the second part of its shape."""
    value = curve.value / level
    shared = tuple(
        replace(term, shape=term.shape / level - np.nan_to_num(value) * level_of(term.shape) / level)
        for term in curve.shared
    )
    return replace(curve, value=value, sigma=curve.sigma / level, unit=unit, shared=shared)
