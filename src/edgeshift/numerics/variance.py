"""One-way analysis of variance: how much groups scatter beyond the scatter inside them."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np


class GroupTable(NamedTuple):
    """Sums of squares and degrees of freedom between and inside groups, F and its p."""

    between: float
    df_between: int
    within: float
    df_within: int
    f: float
    p: float

    @property
    def within_deviation(self) -> float:
        """Standard deviation inside the groups."""
        return math.sqrt(self.within / self.df_within)

    @property
    def explained(self) -> float:
        """Share (0..1) of all scatter that lies between the groups."""
        return self.between / (self.between + self.within)


def one_way(groups: list[np.ndarray]) -> GroupTable:
    """The table for two or more groups of numbers.

    All sums run over distances from one of the values and are exact, so many equal leading digits cost
    little. Raises ValueError without at least two groups and one spare number, or without any scatter.
    """
    count = sum(len(group) for group in groups)
    if len(groups) < 2 or min(len(group) for group in groups) == 0 or count <= len(groups):
        raise ValueError(f"needed two groups or more with numbers to spare, found {len(groups)} with {count}")
    origin = float(groups[0][0])
    moved = [[float(number) - origin for number in group] for group in groups]
    means = [math.fsum(group) / len(group) for group in moved]
    middle = math.fsum(math.fsum(group) for group in moved) / count
    between = math.fsum(len(g) * (m - middle) ** 2 for g, m in zip(moved, means, strict=True))
    within = math.fsum((x - m) ** 2 for g, m in zip(moved, means, strict=True) for x in g)
    if within == 0:
        raise ValueError("an F needs some scatter inside the groups, found none")
    return _table(between, len(groups) - 1, within, count - len(groups))


def _table(between: float, df_between: int, within: float, df_within: int) -> GroupTable:
    from scipy.special import fdtrc

    f = (between / df_between) / (within / df_within)
    return GroupTable(between, df_between, within, df_within, f, float(fdtrc(df_between, df_within, f)))
