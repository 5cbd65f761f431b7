"""Where an edge begins and ends in a curve, and the step it leaves behind."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.lines import arctangent_step


class Windows(NamedTuple):
    """The stretch below the edge and the one above it, in eV."""

    below: tuple[float, float]
    above: tuple[float, float]


def onset(energy: np.ndarray, value: np.ndarray, share: float) -> float:
    """The first energy from which the curve stays above `share` of the way from its start to its top.

    The start is the median of the first eighth of the points. NaN where the curve never rises.
    """
    start = float(np.median(value[: max(3, len(value) // 8)]))
    top = float(np.max(value))
    peak = int(np.argmax(value))
    if top <= start or peak == 0:
        return float("nan")
    below = np.flatnonzero(value[:peak] < start + share * (top - start))
    return float(energy[below[-1]]) if len(below) else float("nan")


def steepest_rise(energy: np.ndarray, value: np.ndarray, window: tuple[float, float]) -> float:
    """Energy of the largest slope in the window, at one of the points. Noise and pre-edge lines move it.

    Raises ValueError with fewer than 3 points there.
    """
    inside = (energy >= window[0]) & (energy <= window[1]) & np.isfinite(value)
    if inside.sum() < 3:
        raise ValueError(f"a rise needs 3 points in {window[0]} to {window[1]}, found {int(inside.sum())}")
    at = energy[inside]
    return float(at[int(np.argmax(np.gradient(value[inside], at)))])


def choose_windows(energy: np.ndarray, value: np.ndarray, last_line_ev: float) -> Windows:
    """Windows for a curve whose last strong line lies near `last_line_ev` (NaN: at its top).

    Below: the lower 70 % of what lies before the rise, clear of pre-edge structure. Above: the last 75 %
    of what follows the last line, so that the wiggles there average out. Both shares are common practice,
    no source.
    """
    rise = onset(energy, value, 0.10)
    span = energy[-1] - energy[0]
    if not math.isfinite(rise):
        rise = energy[0] + 0.25 * span
    last = last_line_ev if math.isfinite(last_line_ev) else float(energy[int(np.argmax(value))])
    last = min(max(last, rise), energy[-1])
    below_end = energy[0] + 0.7 * (rise - energy[0])
    above_start = last + 0.25 * (energy[-1] - last)
    return Windows((float(energy[0]), float(below_end)), (float(above_start), float(energy[-1])))


def step_height(energy: np.ndarray, above_baseline: np.ndarray, window: tuple[float, float]) -> float:
    """Mean of the baseline-free curve above the edge: the edge step. NaN where no point lies there."""
    inside = (energy >= window[0]) & (energy <= window[1]) & np.isfinite(above_baseline)
    return float(above_baseline[inside].mean()) if inside.any() else float("nan")


def double_step(energy: np.ndarray, centres: tuple, widths: tuple, shares: tuple) -> np.ndarray:
    """Arctangent steps (FWHM widths) at the centres, with shares that add up to the total step.

    For L3 and L2 the shares are 2/3 and 1/3: the number of electrons in each shell.
    """
    total = np.zeros(len(energy))
    for centre, width, part in zip(centres, widths, shares, strict=True):
        total += arctangent_step(energy, part, centre, width)
    return total
