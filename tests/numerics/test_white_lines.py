"""L3 over L2 by three definitions, on lines whose ratio is known."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics import white_lines
from edgeshift.numerics.edges import double_step
from edgeshift.numerics.lines import gaussian

ENERGY = np.linspace(630, 680, 501)
L3, L2 = (638.0, 648.0), (649.0, 659.0)
LINES = gaussian(ENERGY, 6.0, 643.0, 2.0) + gaussian(ENERGY, 2.0, 654.0, 3.0)
CURVE = LINES + double_step(ENERGY, (642.2, 652.8), (0.5, 0.5), (2 / 3, 1 / 3))


def test_raw_maxima_count_the_step_under_the_second_line():
    found = white_lines.ratio_of_raw_maxima(ENERGY, CURVE, L3, L2)
    assert found == pytest.approx(6.6 / 2.95, rel=0.02)


def test_maxima_above_the_step_give_the_ratio_of_the_heights():
    found = white_lines.ratio_of_maxima_above_two_to_one_step(ENERGY, CURVE, L3, L2, 0.5)
    assert found == pytest.approx(3.0, rel=0.03)


def test_areas_above_the_step_give_the_ratio_of_the_areas():
    found = white_lines.ratio_of_areas_above_two_to_one_step(ENERGY, CURVE, L3, L2, 0.5)
    assert found == pytest.approx(2.0, rel=0.05)


def test_what_is_left_without_the_step_is_the_lines():
    left = white_lines.without_two_to_one_step(ENERGY, CURVE, L3, L2, 0.5)
    assert np.sqrt(np.mean((left - LINES) ** 2)) < 0.06


def test_a_window_without_a_point_is_refused():
    with pytest.raises(ValueError, match="a line needs a point in 700 to 710"):
        white_lines.ratio_of_raw_maxima(ENERGY, CURVE, (700, 710), L2)


def test_the_windows_of_a_pair_meet_in_the_valley_between_its_lines():
    first, second = white_lines.pair_windows(ENERGY, CURVE, 11.0, (640.0, 646.0), 1.0)
    assert first[0] < 643.0 < first[1] == second[0] < 654.0 < second[1]
    assert 645.0 < first[1] < 652.0
    by_hand = white_lines.ratio_of_raw_maxima(ENERGY, CURVE, L3, L2)
    assert white_lines.ratio_of_raw_maxima(ENERGY, CURVE, first, second) == pytest.approx(by_hand)


def test_a_line_without_its_twin_has_no_windows():
    alone = gaussian(ENERGY, 6.0, 643.0, 2.0) - 0.01 * ENERGY
    assert white_lines.pair_windows(ENERGY, alone, 11.0, (640.0, 646.0), 1.0) is None
    assert white_lines.pair_windows(ENERGY, CURVE, 11.0, (675.0, 679.0), 1.0) is None
