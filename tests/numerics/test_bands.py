"""The simultaneous band in closed form."""

import math

import numpy as np
import pytest
from scipy.special import ndtri, stdtrit

from edgeshift.numerics import bands


def test_with_one_point_the_band_is_the_plain_t_interval():
    control, treated = np.array([[1.0], [1.4], [0.9]]), np.array([[2.0], [2.2], [2.5]])
    found = bands.two_arm_band(control, treated, 0.05)
    pooled = math.sqrt((control.var(ddof=1) + treated.var(ddof=1)) / 2 * (2 / 3))
    assert found.multiplier == pytest.approx(stdtrit(4, 0.975), rel=1e-9)
    assert found.half_width[0] == pytest.approx(stdtrit(4, 0.975) * pooled, rel=1e-9)


def test_a_straight_residual_path_pays_nothing_for_looking_everywhere():
    shape = np.linspace(1, 2, 50)
    residuals = np.outer([1, -1, 0.5, -0.5], shape)
    assert bands.path_length(residuals) == pytest.approx(0, abs=1e-9)
    assert bands.multiplier(0.05, 0.0, 50, 3) == pytest.approx(stdtrit(3, 0.975), rel=1e-9)


def test_the_price_never_passes_that_of_bonferroni():
    rough = bands.multiplier(0.05, 1e6, 200, 4)
    assert rough == pytest.approx(stdtrit(4, 1 - 0.025 / 200), rel=1e-9)


def test_known_noise_at_independent_points_costs_bonferroni():
    found = bands.known_noise_band(np.zeros(100), np.ones(100), 0.05)
    assert found.multiplier == pytest.approx(ndtri(1 - 0.025 / 100), rel=1e-9)


def test_one_degree_of_freedom_takes_bonferroni_however_smooth():
    assert bands.multiplier(0.05, 0.0, 300, 1) == pytest.approx(stdtrit(1, 1 - 0.025 / 300), rel=1e-6)


def test_chance_and_multiplier_are_inverse():
    height = bands.multiplier(0.03, 7.0, 300, 5)
    assert bands.exceedance(height, 7.0, 300, 5) == pytest.approx(0.03, rel=1e-9)


def test_pairs_remove_what_the_pair_shares():
    rng = np.random.default_rng(7)
    shared = 10 * rng.standard_normal((3, 40))
    small = 0.01 * rng.standard_normal((3, 40))
    found = bands.paired_band(shared + 1 + small - shared, 0.05)
    assert np.all(found.standard_error < 0.05)
    assert found.df == 2


def test_scaling_the_curves_scales_the_band_and_keeps_the_chance():
    rng = np.random.default_rng(8)
    control, treated = rng.standard_normal((3, 60)), rng.standard_normal((4, 60)) + 0.5
    one, ten = (
        bands.two_arm_band(control, treated, 0.05),
        bands.two_arm_band(10 * control, 10 * treated, 0.05),
    )
    np.testing.assert_allclose(ten.half_width, 10 * one.half_width)
    assert ten.chance == pytest.approx(one.chance)


@pytest.mark.parametrize("alpha", [0.0, 1.0, -1.0])
def test_a_level_outside_zero_to_one_is_refused(alpha):
    with pytest.raises(ValueError, match="alpha must lie between 0 and 1"):
        bands.multiplier(alpha, 1.0, 10, 3)


def test_no_degree_of_freedom_is_no_band():
    with pytest.raises(ValueError, match="at least one degree of freedom, found 0"):
        bands.band(np.zeros(3), np.zeros((1, 3)), 0, 1.0, 0.05)


@pytest.mark.parametrize(("arms", "share"), [((3, 3), 0.05), ((2, 2), 0.3), ((4, 4), 0.05)])
def test_it_holds_the_truth_about_as_often_as_it_says(arms, share):
    """A short seeded version of benchmarks/band_coverage.py: 0.93 to 0.99, less two standard errors."""
    energy = np.linspace(0, 1, 120)
    kernel = np.exp(-0.5 * ((energy[:, None] - energy) / share) ** 2)
    rng = np.random.default_rng(20261)
    held = 0
    for _ in range(400):
        rows = rng.standard_normal((sum(arms), 120)) @ kernel.T
        found = bands.two_arm_band(rows[: arms[0]], rows[arms[0] :], 0.05)
        held += bool(np.all(np.abs(found.difference) <= found.half_width))
    assert 0.93 - 0.025 <= held / 400 <= 0.995
