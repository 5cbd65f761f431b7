"""The baseline below an edge."""

import numpy as np
import pytest

from edgeshift.numerics.baselines import baseline

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
