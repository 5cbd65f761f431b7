"""The same curve and references seen through every sane baseline, scale and window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from edgeshift.errors import QuestionRefused
from edgeshift.numerics.fan import View
from edgeshift.numerics.grids import bridged, common_grid
from edgeshift.numerics.noise import single_scan_noise
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.spectrum import Pass, Spectrum
from edgeshift.reduction.choices import sane_choices
from edgeshift.reduction.pipeline import reduce_edge

NARROWER, WIDER = 0.25, 0.08
"""The window loses this share at its upper end, or gains this at both (common practice, no source)."""
FEWEST_POINTS = 12


@dataclass(frozen=True)
class Reference:
    """A standard: its name, its flagged scans at the edge, and the give-or-take of its energy tie (eV).

    Without a tie of its own (None) the recipe's `slide_ev` holds. `shelf` is true for one from the shelf.
    """

    name: str
    passes: tuple[Pass, ...]
    slide_ev: float | None = None
    shelf: bool = False


class Seen(NamedTuple):
    """All views, the plain one first, its recipe settled, and the unit of its curves."""

    views: tuple[View, ...]
    recipe: Recipe
    unit: str
    windows: tuple[tuple[float, float], ...]


def seen(edge: str, target: tuple[Pass, ...], references: Sequence[Reference], recipe: Recipe) -> Seen:
    """Every view of one specimen's scans beside the references, all reduced alike.

    Raises QuestionRefused where a reference does not reach over the narrowest window.
    """
    plain = _reduced(edge, target, references, recipe)
    unit = plain.spots[0].unit
    views, windows = [], []
    for number, settled in enumerate([plain.recipe, *sane_choices(plain.recipe)]):
        made = plain if number == 0 else _reduced(edge, target, references, settled)
        if {spot.unit for spot in made.spots} != {unit}:
            continue
        curves = _curves(made, target, references)
        for window in _windows(settled):
            view = _view(curves, window)
            if view is not None:
                views.append(view)
                windows.append(window)
        if number == 0 and not views:
            raise _too_short(edge, curves, references, _windows(settled)[0])
    return Seen(tuple(views), plain.recipe, unit, tuple(dict.fromkeys(windows)))


def seen_mean(energy: np.ndarray, curve: np.ndarray, references: np.ndarray, unit: str, plain: int) -> Seen:
    """Views of a curve with nothing taken away: what lies under it is fitted beside `references` (refs,
    points). `plain` says what is taken to lie there, 0 nothing, 1 a level, 2 a line; beside it
    stands the next choice that is sane.
    """
    along = (energy - energy.mean()) / max(float(np.ptp(energy)), 1e-12)
    free = np.vstack([np.ones_like(along), along])
    sigma = np.full(energy.size, float(single_scan_noise(energy, curve)))
    ends = [energy.size, int(round((1 - NARROWER) * energy.size))]
    views, windows = [], []
    for count in (plain, 2 if plain == 1 else 1):
        for end in ends:
            columns = np.concatenate([references, free[:count]])[:, :end]
            under = np.linalg.lstsq(columns.T, curve[:end], rcond=None)[0][len(references) :]
            level = under @ free[:count, :end]
            views.append(View(energy[:end], curve[:end] - level, sigma[:end], references[:, :end]))
            windows.append((float(energy[0]), float(energy[end - 1])))
    return Seen(tuple(views), Recipe(), unit, tuple(dict.fromkeys(windows)))


def _reduced(edge: str, target: tuple[Pass, ...], references: Sequence[Reference], recipe: Recipe) -> EdgeSet:
    passes = target + tuple(each for one in references for each in one.passes)
    return reduce_edge(edge, passes, recipe, frozenset())


def _windows(settled: Recipe) -> list[tuple[float, float]]:
    low, high = settled.shares.window_ev or (settled.baseline.below_ev[1], settled.scale.above_ev[0])
    wide = high - low
    return [(low, high), (low, high - NARROWER * wide), (low - WIDER * wide, high + WIDER * wide)]


def _curves(made: EdgeSet, target: tuple[Pass, ...], references: Sequence[Reference]) -> list[Spectrum]:
    """The specimen's mean, then each reference's, on their own energies."""
    groups = [{each.scan.key for each in target}]
    groups += [{each.scan.key for each in one.passes} for one in references]
    return [_mean([spot for spot in made.spots if set(spot.scans) & keys]) for keys in groups]


def _mean(spots: list[Spectrum]) -> Spectrum:
    """Unweighted mean of the spots of one specimen; the first lends its name."""
    grid = common_grid([spot.energy_ev for spot in spots])
    rows = [np.interp(grid, s.energy_ev, bridged(s.energy_ev, s.value)) for s in spots]
    noise = [np.interp(grid, s.energy_ev, bridged(s.energy_ev, s.sigma)) for s in spots]
    sigma = np.sqrt(np.sum(np.square(noise), axis=0)) / len(spots)
    first = spots[0]
    return Spectrum(
        first.key, grid, np.mean(rows, axis=0), sigma, np.zeros(len(grid), dtype=np.int64), first.unit
    )


def _view(curves: list[Spectrum], window: tuple[float, float]) -> View | None:
    """All curves on the specimen's energies inside the window; None where one of them ends too early."""
    target, *others = curves
    inside = (target.energy_ev >= window[0]) & (target.energy_ev <= window[1])
    energy = target.energy_ev[inside]
    if energy.size < FEWEST_POINTS or not all(_covers(each, energy) for each in others):
        return None
    references = np.array([np.interp(energy, each.energy_ev, each.value) for each in others])
    sigma = np.nan_to_num(target.sigma[inside])
    value = target.value[inside]
    return View(energy, value, sigma, references) if np.isfinite(value).all() else None


def _covers(curve: Spectrum, energy: np.ndarray) -> bool:
    """Within a step of the asked energies at either end."""
    step = float(np.median(np.diff(energy)))
    return bool(curve.energy_ev[0] <= energy[0] + step and curve.energy_ev[-1] >= energy[-1] - step)


def _too_short(edge: str, curves: list[Spectrum], references: Sequence[Reference], window) -> QuestionRefused:
    asked = f"{window[0]:.1f} to {window[1]:.1f} eV"
    for one, curve in zip(references, curves[1:], strict=True):
        if curve.energy_ev[0] > window[0] or curve.energy_ev[-1] < window[1]:
            found = f"{curve.energy_ev[0]:.1f} to {curve.energy_ev[-1]:.1f} eV"
            return QuestionRefused(
                f"the reference {one.name} at {edge}",
                asked,
                found,
                "Narrow shares.window_ev, or leave it out.",
            )
    found = f"{curves[0].energy_ev[0]:.1f} to {curves[0].energy_ev[-1]:.1f} eV"
    return QuestionRefused(
        f"a mixture at {edge}", f"{FEWEST_POINTS} points in {asked}", found, "Scan further."
    )
