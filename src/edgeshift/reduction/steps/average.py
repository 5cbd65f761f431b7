"""Put repeats on one spot together on a common grid."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from edgeshift.numerics.averaging import mean_of, sigma_of_mean
from edgeshift.numerics.grids import bridged, common_grid, even_grid, onto, same_grid
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import UNUSABLE
from edgeshift.records.spectrum import Pass, SharedTerm, Spectrum

NAME = "average"
AFTER = "tie"
JITTER = 0.2
"""Share of a step by which read-back energies may differ and still be called the same grid."""


def run(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """One pass for each spot, its curve the unweighted mean of the scans there; lone scans stay alone.

    Points flagged as unusable are left out; a point that no repeat has stays missing.
    """
    return tuple(
        replace(group[0], curve=_mean([each.curve for each in group], recipe)) for group in by_spot(passes)
    )


def by_spot(passes: tuple[Pass, ...]) -> tuple[tuple[Pass, ...], ...]:
    """The passes of each spot together, in order; a scan of an unknown specimen is a spot of its own."""
    spots: dict[tuple, list[Pass]] = {}
    for each in passes:
        place = each.scan.place
        name = (each.scan.key,) if place.specimen is None else (place.specimen, place.spot)
        spots.setdefault(name, []).append(each)
    return tuple(tuple(group) for group in spots.values())


def sentence(passes: tuple[Pass, ...], recipe: Recipe) -> str:
    """One methods sentence."""
    scans, spots = len(passes), len(by_spot(passes))
    return f"The unweighted mean was taken of the scans on each spot ({scans} scans, {spots} spots)."


def _mean(curves: list[Spectrum], recipe: Recipe) -> Spectrum:
    grid = _grid(curves, recipe)
    usable = [np.where((c.flags & UNUSABLE) != 0, np.nan, c.value) for c in curves]
    on_grid = [_onto(grid, c.energy_ev, v) for c, v in zip(curves, usable, strict=True)]
    value, count = mean_of(np.vstack(on_grid))
    sigma = sigma_of_mean(
        np.where(
            np.isfinite(np.vstack(on_grid)),
            np.vstack([_onto(grid, c.energy_ev, c.sigma) for c in curves]),
            np.nan,
        )
    )
    flags = np.bitwise_or.reduce([_flags_onto(grid, c) for c in curves])
    return replace(
        curves[0],
        key="+".join(c.key for c in curves),
        energy_ev=grid,
        value=value,
        sigma=sigma,
        flags=np.where(count == 0, flags, flags & ~UNUSABLE),
        scans=tuple(key for c in curves for key in c.scans),
        shared=_shared(grid, curves),
        doubts=tuple(dict.fromkeys(doubt for c in curves for doubt in c.doubts)),
    )


def _grid(curves: list[Spectrum], recipe: Recipe) -> np.ndarray:
    grids = [np.unique(c.energy_ev) for c in curves]
    middle = common_grid(grids)
    if recipe.average.grid_step_ev is None:
        return middle
    return even_grid(middle[0], middle[-1], recipe.average.grid_step_ev)


def _onto(grid: np.ndarray, energy: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Onto the grid; energies met twice are averaged, jitter below a fifth of a step moves nothing."""
    if len(energy) == len(grid) and same_grid([grid, energy], JITTER):
        return value
    levels, where = np.unique(energy, return_inverse=True)
    if len(levels) < len(energy):
        stacked = np.full((int(np.bincount(where).max()), len(levels)), np.nan)
        nth = np.zeros(len(levels), dtype=int)
        for row, level in enumerate(where):
            stacked[nth[level], level] = value[row]
            nth[level] += 1
        energy, (value, _) = levels, mean_of(stacked)
    return onto(grid, energy, value)


def _flags_onto(grid: np.ndarray, curve: Spectrum) -> np.ndarray:
    """The flags of the nearest energy; energies rise."""
    after = np.clip(np.searchsorted(curve.energy_ev, grid), 1, len(curve.energy_ev) - 1)
    before = after - 1
    nearer = np.where(grid - curve.energy_ev[before] <= curve.energy_ev[after] - grid, before, after)
    return curve.flags[nearer]


def _shared(grid: np.ndarray, curves: list[Spectrum]) -> tuple[SharedTerm, ...]:
    """Terms with one cause move together: their shapes are averaged with sign."""
    causes: dict[tuple[str, str], list[np.ndarray]] = {}
    for curve in curves:
        for term in curve.shared:
            shape = onto(grid, curve.energy_ev, bridged(curve.energy_ev, term.shape))
            causes.setdefault((term.name, term.cause), []).append(shape)
    return tuple(
        SharedTerm(name, cause, np.sum(shapes, axis=0) / len(curves))
        for (name, cause), shapes in causes.items()
    )
