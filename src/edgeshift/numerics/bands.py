"""Simultaneous bands for a difference of curves, in closed form.

The price of looking everywhere comes from the Gaussian kinematic formula for t fields (Worsley; Telschow
and Schwartzman 2019): over a path of residual length L the chance that |t| exceeds u anywhere is about
``2 P(T > u) + (L / pi) (1 + u^2 / nu)^(-(nu - 1) / 2)``. Where Bonferroni's bound is smaller it is taken.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr, stdtr


class Band(NamedTuple):
    """A difference (points,), its standard error, the multiplier that makes the band simultaneous.

    `df` are degrees of freedom (inf: known noise), `chance` is how often luck alone goes this far
    somewhere on the curve.
    """

    difference: np.ndarray
    standard_error: np.ndarray
    multiplier: float
    df: float
    chance: float

    @property
    def half_width(self) -> np.ndarray:
        """Half of the band's width at each energy (points,)."""
        return self.multiplier * self.standard_error


def path_length(residuals: np.ndarray) -> float:
    """Length of the path of standardised residuals; residuals (rows, points), any common scale.

    A smooth curve has a short path and pays little for being looked at everywhere.
    """
    norms = np.sqrt(np.sum(residuals**2, axis=0))
    usable = norms > 0
    unit = residuals[:, usable] / norms[usable]
    return float(np.sum(np.sqrt(np.sum(np.diff(unit, axis=1) ** 2, axis=0))))


def exceedance(height: float, length: float, points: int, df: float) -> float:
    """Chance (at most 1) that |t| passes `height` anywhere on a path of that length, by luck alone.

    With one degree of freedom the residuals are a sign and its path tells nothing about smoothness, so
    Bonferroni's bound stands alone (measured in benchmarks/band_coverage.py: the formula held 0.91 there).
    """
    tail = float(ndtr(-height)) if math.isinf(df) else float(stdtr(df, -height))
    bonferroni = 2 * points * tail
    if df < 2:
        return min(1.0, bonferroni)
    bend = math.exp(-(height**2) / 2) if math.isinf(df) else (1 + height**2 / df) ** (-(df - 1) / 2)
    return min(1.0, bonferroni, 2 * tail + length / math.pi * bend)


def multiplier(alpha: float, length: float, points: int, df: float) -> float:
    """The height u whose chance of being passed anywhere is alpha; ValueError unless 0 < alpha < 1."""
    if not 0 < alpha < 1:
        raise ValueError(f"alpha must lie between 0 and 1, found {alpha}")
    low, high = 0.0, 2.0
    while exceedance(high, length, points, df) > alpha:
        low, high = high, 2 * high
    for _ in range(36):
        middle = (low + high) / 2
        low, high = (middle, high) if exceedance(middle, length, points, df) > alpha else (low, middle)
    return high


def finish(difference: np.ndarray, error: np.ndarray, length: float, df: float, alpha: float) -> Band:
    """The band from its parts: difference and standard error (points,), path length, degrees of freedom.

    With one point it is the plain t interval.
    """
    height = multiplier(alpha, length, len(difference), df)
    chance = farthest_chance(difference, error, length, df)
    return Band(difference, error, height, df, chance)


def farthest_chance(difference: np.ndarray, error: np.ndarray, length: float, df: float) -> float:
    """How often luck alone goes as far as the farthest point of this difference, anywhere."""
    with np.errstate(divide="ignore", invalid="ignore"):
        farthest = np.nanmax(np.where(error > 0, np.abs(difference) / error, 0.0))
    return exceedance(float(farthest), length, len(difference), df)
