"""Currie's limits, against a worked vector, and what widens them."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.detection import limits, step_sigma, widened

ENERGY = np.arange(80.0)


def test_forty_and_forty_flat_points_of_one_percent_give_the_textbook_limits():
    sigma = step_sigma(ENERGY, 39.5, 0, 0.01)
    assert sigma == pytest.approx(0.0022, abs=5e-5)
    assert limits(sigma, 1) == pytest.approx((0.0037, 0.0074), abs=5e-5)


def test_a_slope_in_the_background_widens_the_limit():
    assert step_sigma(ENERGY, 39.5, 1, 0.01) > 1.9 * step_sigma(ENERGY, 39.5, 0, 0.01)


def test_looking_in_many_places_costs():
    once, often = limits(1.0, 1), limits(1.0, 1000)
    assert once.critical == pytest.approx(1.645, abs=1e-3)
    assert often.critical == pytest.approx(3.891, abs=1e-3)
    assert often.detectable - often.critical == pytest.approx(1.645, abs=1e-3)


def test_the_stated_chances_hold():
    rng = np.random.default_rng(3)
    found = limits(1.0, 20)
    nothing = rng.standard_normal((4000, 20)).max(axis=1)
    assert np.mean(nothing > found.critical) == pytest.approx(0.05, abs=0.012)
    there = found.detectable + rng.standard_normal(4000)
    assert np.mean(there > found.critical) == pytest.approx(0.95, abs=0.012)


def test_baselines_that_disagree_widen_sigma():
    assert widened(3.0, np.array([1.0, 9.0])) == pytest.approx(5.0)
    assert widened(3.0, np.array([])) == 3.0
