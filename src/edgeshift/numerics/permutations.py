"""Exact tests by trying every way the labels could have fallen, and how small their p can get.

Two-sided: the share of labellings whose difference of means is at least as far from 0 as the observed one.
"""

from __future__ import annotations

import math
from itertools import chain, combinations

import numpy as np

MOST_LABELLINGS = 2_000_000
"""More ways than this are not counted out one by one."""

MOST_LABELLINGS_ANYWHERE = 5_000
"""The same for whole curves, each way of which costs every point."""

_TIE = 1e-9
"""Differences closer than this share of the spread count as equal: sums of decimals are never exact."""


def exact_p(first: np.ndarray, second: np.ndarray) -> float:
    """Exact p of the difference of two means, over every split of all numbers into groups of these sizes.

    Raises ValueError for an empty group or more than MOST_LABELLINGS splits.
    """
    return _split(first[:, None], second[:, None], MOST_LABELLINGS)


def exact_p_anywhere(first: np.ndarray, second: np.ndarray) -> float:
    """The same for curves (n, points) and (m, points): of the largest difference of means anywhere.

    Every split is given its own largest, so nothing is chosen by looking. Raises ValueError for an empty
    group or more than MOST_LABELLINGS_ANYWHERE splits.
    """
    return _split(first, second, MOST_LABELLINGS_ANYWHERE)


def exact_paired_p(differences: np.ndarray) -> float:
    """Exact p of a mean within-pair difference, over every choice of signs (sign flips).

    Raises ValueError for no pair or more than MOST_LABELLINGS choices.
    """
    return _flip(differences[:, None], MOST_LABELLINGS)


def exact_paired_p_anywhere(differences: np.ndarray) -> float:
    """The same for curves (pairs, points): of the largest mean difference anywhere, each choice of signs
    with its own largest.

    Raises ValueError for no pair or more than MOST_LABELLINGS_ANYWHERE choices.
    """
    return _flip(differences, MOST_LABELLINGS_ANYWHERE)


def smallest_reachable_p(first: int, second: int, paired: bool) -> float:
    """The smallest p an exact two-sided test can give for groups of these sizes (pairs: first = second).

    In equal groups and in pairs every labelling has a mirror image just as far from 0, hence the 2.
    """
    if min(first, second) < 1:
        raise ValueError(f"an exact test needs a number in each group, found {first} and {second}")
    if paired:
        return 2 / 2 ** min(first, second)
    return (2 if first == second else 1) / math.comb(first + second, first)


def _split(first: np.ndarray, second: np.ndarray, most: int) -> float:
    """Groups of rows (units, points), over every split."""
    count, size = len(first) + len(second), len(first)
    if min(size, len(second)) < 1:
        raise ValueError(f"an exact test needs a number in each group, found {size} and {len(second)}")
    ways = _few_enough(math.comb(count, size), most)
    everything = np.concatenate([first, second]).astype(float)
    # Of centred numbers the sum of one group is their difference of means, but for a factor of the sizes.
    centred = everything - everything.mean(axis=0)
    rows = np.fromiter(chain.from_iterable(combinations(range(count), size)), np.intp, ways * size)
    chosen = np.zeros((ways, count))
    np.put_along_axis(chosen, rows.reshape(ways, size), 1.0, axis=1)
    return _share_as_far(_farthest(chosen @ centred), _farthest(centred[:size].sum(axis=0)[None, :])[0])


def _flip(differences: np.ndarray, most: int) -> float:
    """Differences (pairs, points), over every choice of signs."""
    if len(differences) < 1:
        raise ValueError("an exact test needs a pair, found none")
    ways = _few_enough(2 ** len(differences), most)
    flips = (np.arange(ways)[:, None] >> np.arange(len(differences))) & 1
    apart = np.asarray(differences, float)
    return _share_as_far(_farthest(np.where(flips, -1.0, 1.0) @ apart), _farthest(apart.sum(axis=0)[None])[0])


def _farthest(sums: np.ndarray) -> np.ndarray:
    """How far from 0 each row (ways, points) goes anywhere."""
    return np.abs(sums).max(axis=1)


def _few_enough(ways: int, most: int) -> int:
    if ways > most:
        raise ValueError(f"an exact test counts at most {most} labellings, found {ways}")
    return ways


def _share_as_far(distances: np.ndarray, observed: float) -> float:
    slack = _TIE * float(distances.max())
    return float(np.mean(distances >= observed - slack))
