"""The price of looking everywhere along a curve, in closed form.

Every t is first turned into the normal height that is just as rare, whatever its degrees of freedom. Over a
path of length L the chance that a normal field passes a height u anywhere, up or down, is about
``2 P(Z > u) + (L / pi) exp(-u^2 / 2)`` (Gaussian kinematic formula: Taylor and Worsley 2007; Telschow and
Schwartzman 2022; cited from memory). Where Bonferroni's bound is smaller it is taken.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.special import gammaln, ndtr, ndtri, stdtr, stdtrit


def path_length(residuals: np.ndarray, variance: np.ndarray, df: float) -> float:
    """Length of the path that residuals (rows, points) travel, each point scaled by its variance (points,).

    A smooth curve has a short path and pays little for being looked at everywhere. Divided by the mean of
    chi / sqrt(df), for residuals of few curves are short on average.
    """
    steps = np.diff(residuals / np.sqrt(variance), axis=1)
    mean_chi = math.sqrt(2 / df) * math.exp(float(gammaln((df + 1) / 2) - gammaln(df / 2)))
    return float(np.sum(np.sqrt(np.sum(steps**2, axis=0) / df)) / mean_chi)


def exceedance(height: float, length: float, points: int) -> float:
    """Chance (at most 1) that luck alone passes this normal height anywhere on a path of that length.

    `length` inf: the points tell nothing about one another, and Bonferroni's bound stands alone.
    """
    tail = 2 * float(ndtr(-height))
    bonferroni = points * tail
    if math.isinf(length):
        return min(1.0, bonferroni)
    return min(1.0, bonferroni, tail + length / math.pi * math.exp(-(height**2) / 2))


def height_for(alpha: float, length: float, points: int) -> float:
    """The normal height whose chance of being passed anywhere is alpha; ValueError unless 0 < alpha < 1."""
    if not 0 < alpha < 1:
        raise ValueError(f"alpha must lie between 0 and 1, found {alpha}")
    low, high = 0.0, 2.0
    while exceedance(high, length, points) > alpha:
        low, high = high, 2 * high
    for _ in range(36):
        middle = (low + high) / 2
        low, high = (middle, high) if exceedance(middle, length, points) > alpha else (low, middle)
    return high


def normal_height(t: np.ndarray, freedom: np.ndarray) -> np.ndarray:
    """The normal height just as rare as each |t| at its degrees of freedom (inf: the same)."""
    known = np.isinf(freedom)
    rare = stdtr(np.where(known, 1.0, freedom), -np.abs(t))
    return np.where(known, np.abs(t), -ndtri(rare))


def t_height(height: float, freedom: np.ndarray) -> np.ndarray:
    """The t just as rare as this normal height, at each of these degrees of freedom (inf: the same)."""
    known = np.isinf(freedom)
    return np.where(known, height, -stdtrit(np.where(known, 1.0, freedom), ndtr(-height)))
