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
    factors, *_ = np.linalg.lstsq(design[use], value[use], rcond=None)
    return design @ factors
