"""The simultaneous band in closed form."""

import math

import numpy as np
import pytest
from scipy.special import ndtri, stdtrit

from edgeshift.numerics import bands


def test_with_one_point_the_band_is_the_plain_t_interval():
    found = bands.finish(np.array([1.0]), np.array([0.2]), 0.0, 4, 0.05)
    assert found.multiplier == pytest.approx(stdtrit(4, 0.975), rel=1e-9)
    assert found.half_width[0] == pytest.approx(0.2 * stdtrit(4, 0.975), rel=1e-9)


def test_a_straight_residual_path_pays_nothing_for_looking_everywhere():
    shape = np.linspace(1, 2, 50)
    residuals = np.outer([1, -1, 0.5, -0.5], shape)
    assert bands.path_length(residuals) == pytest.approx(0, abs=1e-9)
    assert bands.multiplier(0.05, 0.0, 50, 3) == pytest.approx(stdtrit(3, 0.975), rel=1e-9)


def test_the_price_never_passes_that_of_bonferroni():
    rough = bands.multiplier(0.05, 1e6, 200, 4)
    assert rough == pytest.approx(stdtrit(4, 1 - 0.025 / 200), rel=1e-9)


def test_known_noise_at_independent_points_costs_bonferroni():
    found = bands.finish(np.zeros(100), np.ones(100), math.inf, math.inf, 0.05)
    assert found.multiplier == pytest.approx(ndtri(1 - 0.025 / 100), rel=1e-9)


def test_one_degree_of_freedom_takes_bonferroni_however_smooth():
    assert bands.multiplier(0.05, 0.0, 300, 1) == pytest.approx(stdtrit(1, 1 - 0.025 / 300), rel=1e-6)


def test_chance_and_multiplier_are_inverse():
    height = bands.multiplier(0.03, 7.0, 300, 5)
    assert bands.exceedance(height, 7.0, 300, 5) == pytest.approx(0.03, rel=1e-9)


@pytest.mark.parametrize("alpha", [0.0, 1.0, -1.0])
def test_a_level_outside_zero_to_one_is_refused(alpha):
    with pytest.raises(ValueError, match="alpha must lie between 0 and 1"):
        bands.multiplier(alpha, 1.0, 10, 3)
