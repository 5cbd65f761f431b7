"""Energies of several scans brought onto one common grid."""

from __future__ import annotations

import numpy as np


def same_grid(grids: list[np.ndarray], tolerance: float) -> bool:
    """Whether all grids have one length and agree within `tolerance` of the median step."""
    first = grids[0]
    if any(len(grid) != len(first) for grid in grids):
        return False
    step = float(np.median(np.abs(np.diff(first)))) if len(first) > 1 else 1.0
    return all(np.max(np.abs(grid - first)) <= tolerance * step for grid in grids)


def common_grid(grids: list[np.ndarray]) -> np.ndarray:
    """The median grid where all have one length, else the first grid cut to what all of them cover."""
    if len({len(grid) for grid in grids}) == 1:
        middle = np.median(np.vstack(grids), axis=0)
        if np.all(np.diff(middle) > 0):
            return _covered(middle, grids)
    widest = max(grids, key=len)
    return _covered(widest, grids)


def even_grid(low: float, high: float, step: float) -> np.ndarray:
    """Evenly spaced energies from low to at most high."""
    return low + step * np.arange(int(np.floor((high - low) / step + 1e-9)) + 1)


def _covered(grid: np.ndarray, grids: list[np.ndarray]) -> np.ndarray:
    """The part of the grid that every scan reaches, within half of the grid's own step at each end."""
    slack = 0.5 * float(np.median(np.diff(grid))) if len(grid) > 1 else 0.0
    low = max(g[0] for g in grids) - slack
    high = min(g[-1] for g in grids) + slack
    return grid[(grid >= low) & (grid <= high)]


def onto(grid: np.ndarray, energy: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Linear interpolation onto the grid; a missing neighbour (NaN) leaves the point missing.

    Beyond its ends a curve keeps its last value for half a step at most; the grid from `common_grid`
    asks for no more.
    """
    return np.interp(grid, energy, value)


def bridged(energy: np.ndarray, value: np.ndarray) -> np.ndarray:
    """The curve with missing points (NaN) bridged by a straight line, for shapes that need every point."""
    missing = ~np.isfinite(value)
    if not missing.any() or missing.all():
        return value
    filled = value.copy()
    filled[missing] = np.interp(energy[missing], energy[~missing], value[~missing])
    return filled


def rising(energy: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Order that makes energies rise, and the first row of each distinct energy: (order, starts)."""
    order = np.argsort(energy, kind="stable")
    starts = np.flatnonzero(np.r_[True, np.diff(energy[order]) > 0])
    return order, starts
