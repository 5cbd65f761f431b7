"""How small a thing may be and still be told from nothing (Currie 1968, Anal. Chem. 40, 586). Arrays only."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import ndtri

from edgeshift.numerics.least_squares import unit_errors

FALSE_ALARM, MISS = 0.05, 0.05
"""Currie's usual two chances: of calling nothing something, and of missing what stands at the limit."""


class Limits(NamedTuple):
    """`critical`: what is larger is told from nothing (L_C). `detectable`: what is truly so large is told so
    in 95 of 100 cases (L_D). Both in the unit of the sigma that they came from."""

    critical: float
    detectable: float


def limits(sigma: float, looks: int) -> Limits:
    """Currie's limits for an amount known to `sigma` where it is nothing, looked for in `looks` places.

    The chance of a false alarm is shared out between the places (Bonferroni); one look gives 1.645 and 3.29
    sigma.
    """
    asked = float(-ndtri(FALSE_ALARM / max(looks, 1)))
    return Limits(asked * sigma, (asked + float(-ndtri(MISS))) * sigma)


def widened(sigma: float, choices: np.ndarray) -> float:
    """`sigma` with half the spread of what other sane baselines give (choices,) added in squares."""
    return float(np.hypot(sigma, 0.5 * np.ptp(choices))) if len(choices) else float(sigma)


def step_sigma(energy_ev: np.ndarray, at_ev: float, degree: int, sigma: float) -> float:
    """Error of the height of a sharp step at `at_ev`, over a background of this degree, for points (points,)
    that scatter by `sigma`. A level gives the textbook sum of two means; a slope widens it."""
    x = 2.0 * (energy_ev - energy_ev.mean()) / np.ptp(energy_ev)
    columns = np.vstack([[x**power for power in range(degree + 1)], [(energy_ev > at_ev).astype(float)]])
    return float(sigma * unit_errors(columns)[-1])
