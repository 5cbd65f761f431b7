"""Exact tests count every labelling; none can be smaller than the sizes allow."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from edgeshift.numerics.permutations import exact_p, exact_paired_p, smallest_reachable_p


def by_hand(first: list[int], second: list[int]) -> float:
    everything = first + second
    splits = [set(rows) for rows in combinations(range(len(everything)), len(first))]

    def gap(rows: set[int]) -> float:
        chosen = [x for place, x in enumerate(everything) if place in rows]
        rest = [x for place, x in enumerate(everything) if place not in rows]
        return abs(sum(chosen) * len(rest) - sum(rest) * len(chosen))

    observed = gap(set(range(len(first))))
    return sum(gap(rows) >= observed for rows in splits) / len(splits)


@pytest.mark.parametrize("sizes", [(3, 3), (2, 4), (4, 3)])
def test_splits_are_counted_as_by_hand(sizes):
    rng = np.random.default_rng(51)
    for _ in range(20):
        first, second = (rng.integers(0, 9, size).tolist() for size in sizes)
        assert exact_p(np.array(first), np.array(second)) == pytest.approx(by_hand(first, second))


@pytest.mark.parametrize(("first", "second"), [(1, 1), (2, 2), (3, 3), (2, 3), (3, 5)])
def test_no_split_gives_less_than_the_smallest_reachable_p(first, second):
    # numbers ever farther apart, given to every split: the smallest p must be met and never passed
    values = 3.0 ** np.arange(first + second)
    found = []
    for rows in combinations(range(first + second), first):
        chosen = np.isin(np.arange(first + second), rows)
        found.append(exact_p(values[chosen], values[~chosen]))
    assert min(found) == pytest.approx(smallest_reachable_p(first, second, False))


@pytest.mark.parametrize("pairs", [1, 2, 3, 6])
def test_pairs_that_all_agree_reach_the_smallest_p(pairs):
    assert exact_paired_p(1.0 + np.arange(pairs)) == smallest_reachable_p(pairs, pairs, True)


def test_sums_that_differ_only_by_rounding_are_ties():
    assert exact_paired_p(np.array([0.1, 0.2, -0.3])) == 1.0


def test_an_empty_group_is_refused():
    with pytest.raises(ValueError, match="a number in each group, found 0 and 2"):
        exact_p(np.array([]), np.array([1.0, 2.0]))
    with pytest.raises(ValueError, match="a number in each group, found 0 and 2"):
        smallest_reachable_p(0, 2, False)
    with pytest.raises(ValueError, match="needs a pair, found none"):
        exact_paired_p(np.array([]))


def test_too_many_labellings_are_refused():
    with pytest.raises(ValueError, match="at most 2000000 labellings, found 2097152"):
        exact_paired_p(np.ones(21))
