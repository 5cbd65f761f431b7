"""The baseline below an edge."""

import numpy as np
import pytest

from edgeshift.numerics.baselines import baseline, main_way

ENERGY = np.linspace(100, 140, 81)


@pytest.mark.parametrize("degree", [0, 1, 2])
def test_a_polynomial_is_its_own_baseline(degree):
    curve = np.polyval(np.array([0.01, -2.0, 5.0])[-(degree + 1) :], ENERGY)
    np.testing.assert_allclose(baseline(ENERGY, curve, ENERGY < 115, degree), curve, rtol=1e-9)


def test_missing_points_are_left_out():
    curve = 2 * ENERGY
    curve[3] = np.nan
    np.testing.assert_allclose(baseline(ENERGY, curve, ENERGY < 115, 1), 2 * ENERGY, rtol=1e-9)


def test_too_few_points_are_refused():
    with pytest.raises(ValueError, match="degree 1 needs 3 points, found 2"):
        baseline(ENERGY, ENERGY, ENERGY < 101, 1)


def test_the_main_way_of_one_choice_is_that_choice():
    move = np.sin(ENERGY)
    np.testing.assert_allclose(main_way(move[None, :]), move, rtol=1e-9)


def test_the_main_way_is_as_long_as_the_choices_spread():
    """Two choices along one direction, 3 and 4 long: root mean square 5/sqrt(2)."""
    shape = np.zeros(len(ENERGY))
    shape[5] = 1.0
    assert main_way(np.vstack([3 * shape, 4 * shape]))[5] == pytest.approx(5 / np.sqrt(2))


def test_no_move_is_no_way():
    np.testing.assert_array_equal(main_way(np.zeros((2, 4))), 0)
