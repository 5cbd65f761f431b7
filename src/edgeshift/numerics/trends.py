"""A number that may drift from scan to scan."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.two_groups import t_quantile


class Trend(NamedTuple):
    """Change per step and its half-width at the level asked for, both as shares of the mean value."""

    per_step: float
    give_or_take: float

    @property
    def largest(self) -> float:
        """The largest change per step, either way, that the series still allows."""
        return abs(self.per_step) + self.give_or_take


def per_step(values: np.ndarray, level: float) -> Trend:
    """A straight line through `values` (steps,) taken at equal steps, with its t interval.

    `level` is the chance that the interval misses (0.05 for 95 %). Included: the scatter around the line.
    Not included: a change that is no straight line. Raises ValueError for fewer than 3 values, a gap, or
    a mean of 0.
    """
    count, middle = len(values), float(np.mean(values))
    if count < 3 or not np.isfinite(values).all():
        raise ValueError(
            f"a trend needs 3 numbers without a gap, found {int(np.isfinite(values).sum())} of {count}"
        )
    if middle == 0:
        raise ValueError("a trend as a share needs a mean other than 0")
    step = np.arange(count) - (count - 1) / 2
    squares = float(step @ step)
    slope = float(step @ values) / squares
    rest = values - middle - slope * step
    error = math.sqrt(float(rest @ rest) / (count - 2) / squares)
    return Trend(slope / middle, t_quantile(1 - level / 2, count - 2) * error / abs(middle))
