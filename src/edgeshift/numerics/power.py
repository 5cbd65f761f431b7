"""How large a difference of means must be for a t test to find it, before anything is measured."""

from __future__ import annotations

import math

from scipy.optimize import brentq
from scipy.special import nctdtr

from edgeshift.numerics.two_groups import t_quantile

FARTHEST = 1e9
"""Standard errors; no test of two units or more at a level that anybody uses needs as many."""


def detectable(first: int, second: int, paired: bool, level: float, power: float) -> float:
    """The true difference that a two-sided t test at `level` finds, on its own side, with this power.

    In units of the scatter (SD) between alike units; of pairs: of the scatter of a unit beyond what it shares
    with its partner, so that the difference of a pair scatters by the root of two. Equal scatter in both
    groups is assumed (pooled t; power by the noncentral t, Student 1908 and Fisher 1931, cited from memory).
    Raises ValueError for fewer than two units in a group, and where level or power are no probabilities.
    """
    if min(first, second) < 2:
        raise ValueError(f"a test needs two units in each group, found {first} and {second}")
    if not (0 < level < 1 and level < power < 1):
        raise ValueError(f"needed 0 < level < power < 1, found level {level:g} and power {power:g}")
    if paired:
        first = second = min(first, second)
    df = first - 1 if paired else first + second - 2
    needed = t_quantile(1 - level / 2, df)

    def short(far: float) -> float:
        return 1 - nctdtr(df, far, needed) - power

    return float(brentq(short, 0.0, _beyond(short))) * math.sqrt(1 / first + 1 / second)


def _beyond(short) -> float:
    """A distance at which the power is enough."""
    far = 1.0
    while short(far) < 0 and far < FARTHEST:
        far *= 2
    return far
