"""What would be there without the edge: a low polynomial through the stretch below it."""

from __future__ import annotations

import numpy as np


def baseline(energy: np.ndarray, value: np.ndarray, inside: np.ndarray, degree: int) -> np.ndarray:
    """The baseline (points,) of a curve; missing points are left out of the fit."""
    use = inside & np.isfinite(value)
    if use.sum() < degree + 2:
        raise ValueError(f"a baseline of degree {degree} needs {degree + 2} points, found {int(use.sum())}")
    middle = energy[use].mean()
    span = max(float(np.ptp(energy[use])), 1e-12)
    design = np.vander((energy - middle) / span, degree + 1, increasing=True)
    inner = design[use]
    # Centred and scaled, three columns at most: the normal equations are as good as any other way here.
    return design @ np.linalg.solve(inner.T @ inner, inner.T @ value[use])


def main_way(moves: np.ndarray) -> np.ndarray:
    """The main way (points,) in which rows (choices, points) differ from zero, one s.d. of the rows long.

    It is the first principal direction; its sign is that of the first choice that moves at all.
    """
    sizes, mixes = np.linalg.eigh(moves @ moves.T)
    way = mixes[:, -1] @ moves
    length = float(np.linalg.norm(way))
    if not length > 0:
        return np.zeros(moves.shape[1])
    sign = np.sign(mixes[np.flatnonzero(np.abs(mixes[:, -1]) > 1e-9)[0], -1])
    return sign * way / length * np.sqrt(max(sizes[-1], 0.0) / len(moves))
