"""Averages that know what is missing."""

import numpy as np

from edgeshift.numerics import averaging


def test_a_point_missing_in_one_row_takes_the_others():
    mean, count = averaging.mean_of(np.array([[1.0, np.nan], [3.0, 5.0]]))
    np.testing.assert_allclose(mean, [2, 5])
    np.testing.assert_array_equal(count, [2, 1])


def test_a_point_missing_in_all_rows_stays_missing():
    mean, count = averaging.mean_of(np.array([[np.nan], [np.nan]]))
    assert np.isnan(mean[0])
    assert count[0] == 0


def test_the_error_of_a_mean_agrees_with_draws():
    rng = np.random.default_rng(1)
    sigmas = np.array([[0.1], [0.3], [0.2]])
    draws = (sigmas * rng.standard_normal((3, 5000))).mean(axis=0)
    assert abs(draws.std() / averaging.sigma_of_mean(sigmas)[0] - 1) < 0.05
