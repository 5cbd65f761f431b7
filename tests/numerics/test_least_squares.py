import numpy as np
import pytest

from edgeshift.numerics.least_squares import least_squares, not_below_zero, unit_errors

RNG = np.random.default_rng(1)
COLUMNS = RNG.standard_normal((5, 3, 40))


def test_many_fits_at_once_are_those_of_each_alone():
    target = RNG.standard_normal((5, 40))
    found = least_squares(COLUMNS, target)
    for each, columns, wanted in zip(found, COLUMNS, target, strict=True):
        np.testing.assert_allclose(each, np.linalg.lstsq(columns.T, wanted, rcond=None)[0], rtol=1e-8)


@pytest.mark.parametrize("unit", [1e-15, 1e9])
def test_a_column_in_another_unit_changes_its_weight_alone(unit):
    target = RNG.standard_normal((5, 40))
    scaled = COLUMNS * np.array([unit, 1.0, 1.0])[:, None]
    expected = least_squares(COLUMNS, target) / np.array([unit, 1.0, 1.0])
    np.testing.assert_allclose(least_squares(scaled, target), expected, rtol=1e-8)


def test_columns_that_are_the_same_share():
    same = np.stack([COLUMNS[0, 0], COLUMNS[0, 0]])
    np.testing.assert_allclose(least_squares(same, 4.0 * COLUMNS[0, 0]), [2.0, 2.0], rtol=1e-3)


def test_errors_are_those_of_many_draws():
    drawn = RNG.standard_normal((4000, 40))
    found = least_squares(np.broadcast_to(COLUMNS[0], (4000, 3, 40)), drawn)
    np.testing.assert_allclose(unit_errors(COLUMNS[0]), found.std(axis=0), rtol=0.08)


def test_no_weight_falls_below_zero_and_the_fit_is_the_best_of_those():
    from scipy.optimize import nnls

    columns = np.abs(COLUMNS)
    target = RNG.standard_normal((5, 40)) + 0.3
    found = not_below_zero(columns, target)
    assert (found >= 0).all() and (found == 0).any()
    for each, part, wanted in zip(found, columns, target, strict=True):
        np.testing.assert_allclose(each, nnls(part.T, wanted)[0], rtol=1e-7, atol=1e-9)


def test_where_every_weight_would_be_negative_all_are_zero():
    np.testing.assert_array_equal(not_below_zero(np.abs(COLUMNS[0]), -np.ones(40)), np.zeros(3))
