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


def pair_windows(
    energy: np.ndarray, value: np.ndarray, split_ev: float, near_ev: tuple[float, float], slack_ev: float
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """One window for each line of a pair, (low, high) twice, on either side of the valley between them.

    The first line is looked for over `near_ev` and the second `split_ev` on, give or take `slack_ev`; both
    must stand above the lowest point between them. None where no two such lines lie on the curve.
    """
    smooth = np.convolve(np.pad(value, 1, mode="edge"), np.ones(3) / 3.0, "valid")
    best: tuple[float, float, float, float] | None = None
    for at in energy[(energy >= near_ev[0]) & (energy <= near_ev[1])]:
        beyond = (energy >= at + split_ev - slack_ev) & (energy <= at + split_ev + slack_ev)
        if not beyond.any():
            continue
        first = int(np.searchsorted(energy, at))
        second = int(np.flatnonzero(beyond)[np.argmax(smooth[beyond])])
        if second - first < 3:
            continue
        low = first + 1 + int(np.argmin(smooth[first + 1 : second]))
        stands = float(smooth[first] + smooth[second] - 2.0 * smooth[low])
        clear = min(smooth[first], smooth[second]) > smooth[low]
        if clear and (best is None or stands > best[0]):
            best = stands, float(at), float(energy[low]), float(energy[second])
    if best is None:
        return None
    _, first_ev, valley_ev, second_ev = best
    half = 0.5 * split_ev
    return (first_ev - half, valley_ev), (valley_ev, second_ev + half)


def _largest(energy: np.ndarray, value: np.ndarray, window: tuple) -> float:
    inside = (energy >= window[0]) & (energy <= window[1]) & np.isfinite(value)
    if not inside.any():
        raise ValueError(f"a line needs a point in {window[0]} to {window[1]}, found none")
    return float(value[inside].max())
