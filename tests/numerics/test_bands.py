"""The price of looking everywhere, in closed form."""

import math

import numpy as np
import pytest
from scipy.special import ndtri, stdtrit

from edgeshift.numerics import bands


def test_one_point_pays_nothing_for_looking_everywhere():
    assert bands.height_for(0.05, 0.0, 1) == pytest.approx(ndtri(0.975), rel=1e-9)


def test_residuals_that_only_change_size_along_the_curve_have_no_path():
    shape = np.linspace(1, 2, 50)
    residuals = np.outer([1, -1, 0.5, -0.5], shape)
    assert bands.path_length(residuals, shape**2, 3) == pytest.approx(0, abs=1e-9)


def test_the_path_of_white_noise_is_as_long_as_theory_says():
    """Steps between independent points have variance 2, so each adds the square root of 2 on average."""
    residuals = np.random.default_rng(3).standard_normal((6, 4000))
    found = bands.path_length(residuals, np.ones(4000), 6)
    assert found == pytest.approx(3999 * math.sqrt(2), rel=0.02)


def test_the_price_never_passes_that_of_bonferroni():
    assert bands.height_for(0.05, 1e6, 200) == pytest.approx(ndtri(1 - 0.025 / 200), rel=1e-9)
    assert bands.height_for(0.05, math.inf, 200) == pytest.approx(ndtri(1 - 0.025 / 200), rel=1e-9)


def test_chance_and_height_are_inverse():
    height = bands.height_for(0.03, 7.0, 300)
    assert bands.exceedance(height, 7.0, 300) == pytest.approx(0.03, rel=1e-9)


def test_a_t_and_its_normal_height_are_equally_rare():
    freedom = np.array([1.0, 2.0, 7.5, math.inf])
    t = bands.t_height(2.5, freedom)
    np.testing.assert_allclose(bands.normal_height(-t, freedom), 2.5)
    assert t[1] == pytest.approx(stdtrit(2.0, 1 - 0.00620966532577614), rel=1e-6)
    assert t[3] == 2.5


def test_a_t_beyond_every_number_stays_beyond():
    assert bands.normal_height(np.array([1e200]), np.array([30.0]))[0] == math.inf
    assert bands.exceedance(math.inf, 5.0, 100) == 0.0


def test_it_holds_for_smooth_gaussian_curves():
    """5 % of curves of known variance pass the height, with 2 standard errors of 4000 runs."""
    energy = np.linspace(0, 1, 150)
    values, vectors = np.linalg.eigh(np.exp(-0.5 * (np.subtract.outer(energy, energy) / 0.05) ** 2))
    curves = (
        np.random.default_rng(6).standard_normal((4000, 150))
        @ (vectors * np.sqrt(np.clip(values, 0, None))).T
    )
    length = bands.path_length(curves, np.ones(150), 4000)
    passed = np.mean(np.max(np.abs(curves), axis=1) > bands.height_for(0.05, length, 150))
    assert 0.040 < passed < 0.060


@pytest.mark.parametrize("alpha", [0.0, 1.0, -1.0])
def test_a_level_outside_zero_to_one_is_refused(alpha):
    with pytest.raises(ValueError, match="alpha must lie between 0 and 1"):
        bands.height_for(alpha, 1.0, 10)
