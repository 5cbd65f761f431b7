"""Worked values of planning: arithmetic on given scatter and minutes."""

import numpy as np
import pytest

from edgeshift.numerics.scatter_shares import Counts, best_spots, carried

SCATTER = np.array([0.05, 0.04, 0.015]) ** 2
"""Variances of units, spots and scans in the worked values."""


@pytest.mark.parametrize(
    ("units", "spots", "scans", "standard_error"),
    [(1, 3, 4, 0.078), (3, 1, 1, 0.054), (3, 2, 2, 0.047), (5, 1, 1, 0.042)],
)
def test_the_standard_error_of_a_nested_design(units, spots, scans, standard_error):
    """sqrt(2 [su^2/U + ss^2/(US) + sr^2/(USR)]), two arms alike."""
    each = Counts(
        np.full(2 * units * spots, float(scans)),
        np.repeat(np.arange(2 * units), spots),
        np.full(2 * units, 1 / units**2),
    )
    assert np.sqrt(carried(each) @ SCATTER) == pytest.approx(standard_error, abs=0.0006)


def test_the_best_number_of_spots_for_a_pot_of_twelve_minutes():
    """A pot costs 12 min, a spot 6, spots scatter 0.8 times as much: sqrt(2 x 0.64) = 1.13, so one spot."""
    assert best_spots(12, 6, 1.0, 0.64) == pytest.approx(1.13, abs=0.005)


def test_without_scatter_of_units_spots_have_no_end():
    assert best_spots(12, 6, 0.0, 1.0) == np.inf
