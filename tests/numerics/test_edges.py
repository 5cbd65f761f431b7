"""Where an edge begins and ends, and its step."""

import numpy as np
import pytest

from edgeshift.numerics import edges

ENERGY = np.linspace(690, 740, 251)
STEP = edges.double_step(ENERGY, (709.0, 722.1), (1.0, 1.0), (2 / 3, 1 / 3))
LINES = 3 * np.exp(-((ENERGY - 709.5) ** 2)) + np.exp(-((ENERGY - 722.8) ** 2) / 2)


def test_the_double_step_rises_to_one_in_two_to_one():
    middle = STEP[np.searchsorted(ENERGY, 715.5)]
    assert STEP[-1] == pytest.approx(1, abs=0.02)
    assert middle == pytest.approx(2 / 3, abs=0.04)


def test_windows_stay_clear_of_the_rise_and_of_the_last_line():
    below, above = edges.choose_windows(ENERGY, STEP + LINES, 722.8)
    assert below[0] == 690
    assert below[1] < 708
    assert above[0] > 727
    assert above[1] == 740


def test_the_step_is_the_mean_above_the_edge():
    assert edges.step_height(ENERGY, STEP + LINES, (732, 740)) == pytest.approx(1, abs=0.02)


def test_no_point_above_is_no_step():
    assert np.isnan(edges.step_height(ENERGY, STEP, (800, 810)))


def test_the_onset_comes_before_the_line_and_a_falling_curve_has_none():
    assert 707 < edges.onset(ENERGY, STEP + LINES, 0.1) < 709.5
    assert np.isnan(edges.onset(ENERGY, -ENERGY, 0.1))


def test_the_steepest_rise_of_a_step_is_its_centre():
    assert edges.steepest_rise(ENERGY, STEP, (700, 715)) == pytest.approx(709.0, abs=0.11)
    assert edges.steepest_rise(ENERGY, STEP, (716, 730)) == pytest.approx(722.1, abs=0.11)


def test_a_rise_needs_points():
    with pytest.raises(ValueError, match="needs 3 points in 700 to 700.2"):
        edges.steepest_rise(ENERGY, STEP, (700, 700.2))
