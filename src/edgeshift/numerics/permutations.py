"""Exact tests by trying every way the labels could have fallen, and how small their p can get.

Two-sided: the share of labellings whose difference of means is at least as far from 0 as the observed one.
"""

from __future__ import annotations

import math
from itertools import chain, combinations

import numpy as np

MOST_LABELLINGS = 2_000_000
"""More ways than this are not counted out one by one."""

_TIE = 1e-9
"""Differences closer than this share of the spread count as equal: sums of decimals are never exact."""


def exact_p(first: np.ndarray, second: np.ndarray) -> float:
    """Exact p of the difference of two means, over every split of all numbers into groups of these sizes.

    Raises ValueError for an empty group or more than MOST_LABELLINGS splits.
    """
    count, size = len(first) + len(second), len(first)
    if min(size, len(second)) < 1:
        raise ValueError(f"an exact test needs a number in each group, found {size} and {len(second)}")
    ways = _few_enough(math.comb(count, size))
    everything = np.concatenate([first, second]).astype(float)
    centred = everything - everything.mean()
    rows = np.fromiter(chain.from_iterable(combinations(range(count), size)), np.intp, ways * size)
    return _share_as_far(np.abs(centred[rows.reshape(ways, size)].sum(axis=1)), abs(centred[:size].sum()))


def exact_paired_p(differences: np.ndarray) -> float:
    """Exact p of a mean within-pair difference, over every choice of signs (sign flips).

    Raises ValueError for no pair or more than MOST_LABELLINGS choices.
    """
    if len(differences) < 1:
        raise ValueError("an exact test needs a pair, found none")
    ways = _few_enough(2 ** len(differences))
    flips = (np.arange(ways)[:, None] >> np.arange(len(differences))) & 1
    sums = np.where(flips, -1.0, 1.0) @ np.asarray(differences, float)
    return _share_as_far(np.abs(sums), abs(float(np.sum(differences))))


def smallest_reachable_p(first: int, second: int, paired: bool) -> float:
    """The smallest p an exact two-sided test can give for groups of these sizes (pairs: first = second).

    In equal groups and in pairs every labelling has a mirror image just as far from 0, hence the 2.
    """
    if min(first, second) < 1:
        raise ValueError(f"an exact test needs a number in each group, found {first} and {second}")
    if paired:
        return 2 / 2 ** min(first, second)
    return (2 if first == second else 1) / math.comb(first + second, first)


def _few_enough(ways: int) -> int:
    if ways > MOST_LABELLINGS:
        raise ValueError(f"an exact test counts at most {MOST_LABELLINGS} labellings, found {ways}")
    return ways


def _share_as_far(distances: np.ndarray, observed: float) -> float:
    slack = _TIE * float(distances.max())
    return float(np.mean(distances >= observed - slack))
