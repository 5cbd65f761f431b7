import numpy as np
import pytest

from edgeshift.numerics.local_lines import local_weights, predict_without, slopes, spline

ENERGY = np.concatenate(
    [np.arange(80.0, 95.0, 0.5), np.arange(95.0, 110.0, 0.15), np.arange(110.0, 130.0, 0.4)]
)
CUBIC = 1 + ENERGY / 50 - (ENERGY / 60) ** 2 + (ENERGY / 80) ** 3
EVERY = np.ones(ENERGY.size, dtype=bool)


def test_local_weights_give_back_any_cubic():
    np.testing.assert_allclose(local_weights(ENERGY, EVERY, 4, 3).predict(CUBIC), CUBIC, rtol=1e-9)


def test_a_point_has_no_part_in_its_own_prediction():
    bent = CUBIC.copy()
    bent[100] += 5.0
    assert local_weights(ENERGY, EVERY, 4, 3).predict(bent)[100] == pytest.approx(CUBIC[100])


def test_a_missing_point_is_read_by_no_neighbour():
    holed, usable = CUBIC.copy(), EVERY.copy()
    holed[100], usable[100] = np.nan, False
    local = local_weights(ENERGY, usable, 3, 3)
    np.testing.assert_allclose(local.predict(holed), CUBIC, rtol=1e-9)
    assert local.variance[101] > local_weights(ENERGY, EVERY, 3, 3).variance[101]


def test_the_variance_is_that_of_many_draws():
    local = local_weights(ENERGY, EVERY, 6, 3)
    drawn = np.random.default_rng(1).standard_normal((4000, ENERGY.size))
    np.testing.assert_allclose(local.predict(drawn).var(axis=0), local.variance, rtol=0.15)


def test_where_too_few_neighbours_are_left_there_is_no_prediction():
    usable = EVERY.copy()
    usable[60:70] = False
    local = local_weights(ENERGY, usable, 3, 3)
    assert np.isnan(local.variance[62:68]).all() and np.isfinite(local.variance[:57]).all()


def test_a_long_scan_gets_the_same_weights_as_a_short_one():
    energy = np.linspace(0.0, 300.0, 3001)
    long = local_weights(energy, np.ones(energy.size, dtype=bool), 3, 3)
    short = local_weights(energy[:200], np.ones(200, dtype=bool), 3, 3)
    np.testing.assert_allclose(long.weights[:, 100], short.weights[:, 100])


def test_one_more_point_can_be_left_out():
    bent = np.stack([CUBIC, CUBIC])
    bent[1, 100] += 5.0
    place = np.array([1, 0]), np.array([102, 50]), np.array([100, 51])
    guess, variance = predict_without(np.stack([ENERGY, ENERGY]), bent, place, (3, 3))
    np.testing.assert_allclose(guess, [CUBIC[102], CUBIC[50]], rtol=1e-9)
    assert (variance > local_weights(ENERGY, EVERY, 3, 3).variance[[102, 50]]).all()


def test_slopes_of_a_parabola_are_exact_at_its_ends_too():
    np.testing.assert_allclose(slopes(ENERGY, (ENERGY - 100) ** 2), 2 * (ENERGY - 100), atol=1e-9)


def test_a_spline_goes_onto_other_energies_and_not_beyond_its_ends():
    energy = np.arange(1.0, 11.0)
    there = spline(energy, energy**2).at(np.array([0.0, 5.05, 10.2, 12.0]))
    assert np.isnan(there[[0, 3]]).all()
    np.testing.assert_allclose(there[1:3], [5.05**2, 10.2**2], rtol=1e-3)


def test_a_spline_follows_a_sharp_line_between_its_points():
    def line(energy):
        return np.exp(-(((energy - 100.0) / 0.6) ** 2))

    between = ENERGY[40:120] + 0.07
    assert np.abs(spline(ENERGY, line(ENERGY)).at(between) - line(between)).max() < 2e-3


def test_on_its_own_energies_a_curve_comes_back_with_its_holes():
    value = CUBIC.copy()
    value[7] = np.nan
    np.testing.assert_array_equal(spline(ENERGY, value).at(ENERGY), value)


def test_three_points_make_no_spline():
    assert np.isnan(spline(np.arange(3.0), np.arange(3.0)).at(np.array([0.5]))).all()
