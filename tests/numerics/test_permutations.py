"""Exact tests count every labelling; none can be smaller than the sizes allow."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from edgeshift.numerics.permutations import (
    exact_p,
    exact_p_anywhere,
    exact_paired_p,
    exact_paired_p_anywhere,
    smallest_reachable_p,
)


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


@pytest.mark.parametrize("sizes", [(3, 3), (2, 4), (4, 3)])
def test_every_split_of_curves_is_given_its_own_largest_difference(sizes):
    rng = np.random.default_rng(52)
    for _ in range(10):
        everything = rng.standard_normal((sum(sizes), 5))
        first = everything[: sizes[0]]
        largest = []
        for rows in combinations(range(sum(sizes)), sizes[0]):
            chosen = np.isin(np.arange(sum(sizes)), rows)
            largest.append(np.abs(everything[chosen].mean(axis=0) - everything[~chosen].mean(axis=0)).max())
        by_hand = np.mean(np.array(largest) >= largest[0] - 1e-9)
        assert exact_p_anywhere(first, everything[sizes[0] :]) == pytest.approx(by_hand)


def test_every_choice_of_signs_is_given_its_own_largest_difference():
    rng = np.random.default_rng(53)
    differences = rng.standard_normal((5, 7)) + 0.4
    signs = np.array(np.meshgrid(*[[-1, 1]] * 5)).reshape(5, -1).T
    largest = np.abs(signs @ differences).max(axis=1)
    by_hand = np.mean(largest >= np.abs(differences.sum(axis=0)).max() - 1e-9)
    assert exact_paired_p_anywhere(differences) == pytest.approx(by_hand)


def test_one_point_is_the_plain_exact_test():
    rng = np.random.default_rng(54)
    first, second = rng.standard_normal((2, 4))
    assert exact_p_anywhere(first[:, None], second[:, None]) == exact_p(first, second)
    assert exact_paired_p_anywhere((first - second)[:, None]) == exact_paired_p(first - second)


def test_the_largest_difference_anywhere_is_an_honest_test_where_nothing_differs():
    """3 + 3 curves of 40 points: p at or below 0.1 in a tenth of runs; a place chosen first does it more."""
    rng, runs = np.random.default_rng(55), 400
    anywhere = chosen = 0
    for _ in range(runs):
        first, second = rng.standard_normal((2, 3, 40))
        anywhere += exact_p_anywhere(first, second) <= 0.1 + 1e-9
        place = np.argmax(np.abs(first.mean(axis=0) - second.mean(axis=0)))
        chosen += exact_p(first[:, place], second[:, place]) <= 0.1 + 1e-9
    assert abs(anywhere / runs - 0.1) < 3 * np.sqrt(0.1 * 0.9 / runs)
    assert chosen / runs > 0.5


def test_too_many_labellings_of_curves_are_refused():
    with pytest.raises(ValueError, match="at most 5000 labellings, found 12870"):
        exact_p_anywhere(np.ones((8, 2)), np.ones((8, 2)))
    with pytest.raises(ValueError, match="at most 5000 labellings, found 8192"):
        exact_paired_p_anywhere(np.ones((13, 2)))
