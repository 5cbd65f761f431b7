"""Shapes have the widths they are named by."""

import numpy as np
import pytest

from edgeshift.practice.shapes import FINE_EV, Shape, blurred, fine_energies, line, step


def width_of(energy, curve, share=0.5):
    """Full width at a share of the maximum."""
    above = energy[curve >= share * curve.max()]
    return above[-1] - above[0]


def test_a_line_has_its_height_and_width():
    energy = np.linspace(-5, 5, 100001)
    curve = line(energy, Shape(0.5, 1.3, 2.4))
    assert curve.max() == pytest.approx(2.4)
    assert width_of(energy, curve) == pytest.approx(1.3, abs=3e-4)
    assert line(np.array([0.5 + 13.0]), Shape(0.5, 1.3, 1.0)) == pytest.approx(0.4 / 401)


def test_a_step_rises_from_nothing_to_its_height_with_the_slope_of_its_width():
    energy = np.linspace(-5, 5, 100001)
    curve = step(energy, Shape(0.0, 1.4, 0.67))
    assert width_of(energy, np.gradient(curve, energy)) == pytest.approx(1.4, abs=3e-3)
    assert step(np.array([-1e5, 0.0, 1e5]), Shape(0.0, 1.4, 0.67)) == pytest.approx(
        [0, 0.335, 0.67], abs=1e-5
    )


def test_blurring_widens_keeps_the_area_and_leaves_flat_things_flat():
    energy = fine_energies(100.0, 110.0)
    needle = np.where(np.abs(energy - 105.0) < FINE_EV / 2, 1.0, 0.0)
    rows = blurred(np.array([needle, np.ones(energy.size)]), 0.8)
    assert width_of(energy, rows[0]) == pytest.approx(0.8, abs=2 * FINE_EV)
    assert rows[0].sum() == pytest.approx(1.0)
    assert rows[1] == pytest.approx(1.0)


def test_no_resolution_means_no_blurring():
    rows = np.arange(12.0).reshape(2, 6)
    assert blurred(rows, 0.0) is rows
