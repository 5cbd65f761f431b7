"""Scatter of few curves, learnt from the neighbourhood."""

import math

import numpy as np
import pytest

from edgeshift.numerics import local_scatter
from edgeshift.numerics.local_scatter import scatter_of, usual_directions, without

POINTS = 200


def waves(rng, rows: int, length: float) -> np.ndarray:
    """Gaussian curves (rows, POINTS) of variance one."""
    place = np.linspace(0, 1, POINTS)
    values, vectors = np.linalg.eigh(np.exp(-0.5 * (np.subtract.outer(place, place) / length) ** 2))
    return rng.standard_normal((rows, POINTS)) @ (vectors * np.sqrt(np.clip(values, 0, None))).T


def residuals(curves: np.ndarray) -> np.ndarray:
    return curves - curves.mean(axis=0)


def test_the_variance_of_alike_points_comes_out_right_on_average():
    rng = np.random.default_rng(1)
    found = [np.mean(scatter_of(residuals(rng.standard_normal((3, POINTS))), 2).wide) for _ in range(200)]
    assert np.mean(found) == pytest.approx(1, abs=0.02)


def test_rough_curves_give_many_degrees_of_freedom_and_one_common_height_gives_its_own():
    rng = np.random.default_rng(2)
    rough = scatter_of(residuals(rng.standard_normal((3, POINTS))), 2)
    assert np.median(rough.freedom(2)) > 20
    height = scatter_of(residuals(rng.standard_normal((3, 1)) * np.linspace(1, 2, POINTS)), 2)
    np.testing.assert_allclose(height.alike, 1.0)
    assert np.all(height.freedom(2) <= 2 + 1e-9)


def test_a_peak_of_scatter_is_added_and_known_no_better_than_one_point():
    rows = np.random.default_rng(3).standard_normal((8, POINTS))
    rows[:, 95:105] *= 10
    found = scatter_of(residuals(rows), 7)
    assert found.variance[100] > 30
    assert found.excess[100] > found.wide[100]
    assert found.freedom(7)[100] < 14 < found.freedom(7)[20]


def test_fewer_curves_are_trusted_less_about_how_alike_they_are():
    assert local_scatter.raised(1) == 2
    assert local_scatter.raised(2) == 1.25
    assert local_scatter.raised(100) == pytest.approx(1, abs=1e-3)


def test_the_share_alike_of_long_waves_is_near_its_truth():
    """Truth: the mean of exp(-d^2 / length^2) over two draws from a neighbourhood, away from the ends."""
    length, wide = 0.05, local_scatter.WIDE
    truth = length / math.sqrt(length**2 + 4 * wide**2)
    rng = np.random.default_rng(4)
    found = [scatter_of(residuals(waves(rng, 12, length)), 11).alike[POINTS // 2] for _ in range(60)]
    assert truth < np.mean(found) < 1.5 * truth


def test_scaling_all_curves_changes_the_variance_and_nothing_else():
    rows = residuals(waves(np.random.default_rng(5), 4, 0.1))
    one, ten = scatter_of(rows, 3), scatter_of(10 * rows, 3)
    np.testing.assert_allclose(ten.variance, 100 * one.variance)
    np.testing.assert_allclose(ten.freedom(3), one.freedom(3))
    assert ten.length == pytest.approx(one.length)


def test_curves_that_differ_in_the_usual_ways_only_have_nothing_left():
    energy = np.linspace(700, 760, POINTS)
    mean = 0.5 + np.arctan(energy - 710) / np.pi + np.exp(-(((energy - 712) / 2) ** 2))
    directions = usual_directions(energy, mean)
    curve = 0.3 + 0.01 * energy + 1.7 * mean + 0.2 * np.gradient(mean, energy)
    np.testing.assert_allclose(without(curve[None], directions), 0, atol=1e-9)


def test_what_is_left_is_square_to_every_direction():
    energy = np.linspace(0, 1, POINTS)
    directions = usual_directions(energy, np.tanh(10 * (energy - 0.4)))
    left = without(waves(np.random.default_rng(7), 3, 0.03), directions)
    np.testing.assert_allclose(left @ directions.T, 0, atol=1e-8)


def test_curves_that_are_all_the_same_are_refused():
    with pytest.raises(ValueError, match="zero everywhere"):
        scatter_of(np.zeros((3, 20)), 2)
