"""Energies of several scans brought onto one grid."""

import numpy as np
import pytest

from edgeshift.numerics import grids


def test_jitter_is_one_grid_and_a_shift_is_not():
    grid = np.arange(10.0)
    assert grids.same_grid([grid, grid + 0.1], 0.2)
    assert not grids.same_grid([grid, grid + 0.5], 0.2)
    assert not grids.same_grid([grid, grid[:-1]], 0.2)


def test_the_common_grid_is_covered_by_every_scan():
    found = grids.common_grid([np.arange(0, 10, 0.5), np.arange(2, 12, 1.0)])
    assert found[0] >= 2 - 0.25
    assert found[-1] <= 9.5 + 0.25


def test_equal_lengths_take_the_median_energies():
    found = grids.common_grid([np.arange(5.0), np.arange(5.0) + 0.1, np.arange(5.0) + 0.3])
    np.testing.assert_allclose(found, np.arange(5.0) + 0.1)


def test_a_missing_neighbour_leaves_the_point_missing():
    value = np.array([0.0, np.nan, 2.0, 3.0])
    found = grids.onto(np.array([0.5, 2.5]), np.arange(4.0), value)
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(2.5)


def test_bridging_draws_a_straight_line_over_what_is_missing():
    value = np.array([0.0, np.nan, np.nan, 3.0])
    np.testing.assert_allclose(grids.bridged(np.arange(4.0), value), [0, 1, 2, 3])


def test_an_even_grid_ends_inside():
    np.testing.assert_allclose(grids.even_grid(1.0, 2.05, 0.25), [1, 1.25, 1.5, 1.75, 2.0])
