"""How L3 compares with L2, by definitions that give different numbers: say which one was used.

Every function takes a curve whose baseline is gone; where a step is removed, the step must be one.
"""

from __future__ import annotations

import numpy as np

from edgeshift.numerics.edges import double_step, steepest_rise
from edgeshift.numerics.features import area

L3_AND_L2 = (2 / 3, 1 / 3)
"""Shares of the step: four electrons in 2p3/2, two in 2p1/2."""


def ratio_of_raw_maxima(energy: np.ndarray, value: np.ndarray, first: tuple, second: tuple) -> float:
    """Largest value in the first window over the largest in the second; no step is removed.

    The step under the second line is counted with it, so this lies below the ratio of the lines.
    """
    return _largest(energy, value, first) / _largest(energy, value, second)


def ratio_of_maxima_above_two_to_one_step(
    energy: np.ndarray, value: np.ndarray, first: tuple, second: tuple, fwhm_ev: float
) -> float:
    """The same after arctangent steps of 2/3 and 1/3 were removed, each at its line's steepest rise."""
    return ratio_of_raw_maxima(
        energy, without_two_to_one_step(energy, value, first, second, fwhm_ev), first, second
    )


def ratio_of_areas_above_two_to_one_step(
    energy: np.ndarray, value: np.ndarray, first: tuple, second: tuple, fwhm_ev: float
) -> float:
    """Area in the first window over that in the second after the same steps were removed."""
    lines = without_two_to_one_step(energy, value, first, second, fwhm_ev)
    return area(energy, lines, first) / area(energy, lines, second)


def without_two_to_one_step(
    energy: np.ndarray, value: np.ndarray, first: tuple, second: tuple, fwhm_ev: float
) -> np.ndarray:
    """The lines (points,) of a curve of step one: arctangents (FWHM) at the steepest rise in each window."""
    rises = tuple(steepest_rise(energy, value, window) for window in (first, second))
    return value - double_step(energy, rises, (fwhm_ev, fwhm_ev), L3_AND_L2)


def _largest(energy: np.ndarray, value: np.ndarray, window: tuple) -> float:
    inside = (energy >= window[0]) & (energy <= window[1]) & np.isfinite(value)
    if not inside.any():
        raise ValueError(f"a line needs a point in {window[0]} to {window[1]}, found none")
    return float(value[inside].max())
