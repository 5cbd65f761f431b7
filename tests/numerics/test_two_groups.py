"""Means of two groups: luck passes as often as it should, and too little is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from edgeshift.numerics.two_groups import paired_t, pooled_t, sidak_limit, t_quantile, welch_t


@pytest.mark.parametrize("test", [pooled_t, paired_t])
def test_luck_passes_one_time_in_twenty(test):
    rng = np.random.default_rng(41)
    passed = [test(*rng.standard_normal((2, 4))).p < 0.05 for _ in range(4000)]
    assert np.mean(passed) == pytest.approx(0.05, abs=0.011)


def test_two_variances_are_told_apart_where_pooling_is_fooled():
    rng = np.random.default_rng(42)
    pairs = [(3 * rng.standard_normal(4), rng.standard_normal(12)) for _ in range(3000)]
    pooled, welch = (np.mean([test(*pair).p < 0.05 for pair in pairs]) for test in (pooled_t, welch_t))
    assert pooled > 0.15
    assert welch < 0.08


def test_the_first_less_the_second():
    first, second = np.array([3.0, 4.0]), np.array([1.0, 2.5])
    for test in (pooled_t, welch_t, paired_t):
        assert test(first, second).difference == pytest.approx(1.75)
        assert test(first, second).t == pytest.approx(-test(second, first).t)


def test_without_scatter_there_is_no_t():
    found = paired_t(np.array([2.0, 3.0]), np.array([1.0, 2.0]))
    assert found.difference == 1.0
    assert math.isnan(found.t)
    assert math.isnan(found.p)


def test_known_noise_is_t_with_endless_freedom():
    assert t_quantile(0.975, math.inf) == pytest.approx(t_quantile(0.975, 1e9), rel=1e-6)
    assert sidak_limit(0.05, 1, math.inf) == pytest.approx(1.959964, abs=1e-6)


def test_one_unit_an_arm_is_refused():
    one = np.array([1.0])
    with pytest.raises(ValueError, match="a pooled t needs three numbers"):
        pooled_t(one, one)
    with pytest.raises(ValueError, match="a Welch t needs two numbers in each group, found 1 and 1"):
        welch_t(one, one)
    with pytest.raises(ValueError, match="a paired t needs two whole pairs"):
        paired_t(one, one)
