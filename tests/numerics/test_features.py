"""One number read from a curve in stated windows."""

import numpy as np
import pytest

from edgeshift.numerics import features

ENERGY = np.linspace(0, 10, 41)


def test_a_window_reads_a_straight_line_at_its_middle():
    assert features.mean_in(ENERGY, 3 * ENERGY, (2.13, 4.77)) == pytest.approx(3 * (2.13 + 4.77) / 2)


def test_a_window_between_two_points_is_interpolated():
    assert features.mean_in(ENERGY, 2 * ENERGY + 1, (3.30, 3.40)) == pytest.approx(2 * 3.35 + 1)


def test_weights_add_up_to_one():
    assert features.window_weights(ENERGY, 1.11, 8.37).sum() == pytest.approx(1)


@pytest.mark.parametrize("window", [(-1.0, 2.0), (9.0, 11.0), (4.0, 4.0)])
def test_a_window_outside_the_scan_is_refused(window):
    with pytest.raises(ValueError, match="does not lie inside 0.0 to 10.0"):
        features.mean_in(ENERGY, ENERGY, window)


def test_a_ratio_does_not_care_for_scale():
    curve = np.exp(-((ENERGY - 5) ** 2))
    one = features.ratio(ENERGY, curve, (4.5, 5.5), (3.5, 4.5))
    assert features.ratio(ENERGY, 7 * curve, (4.5, 5.5), (3.5, 4.5)) == pytest.approx(one)


def test_a_ratio_over_nothing_is_no_number():
    assert np.isnan(features.ratio(ENERGY, np.zeros(41), (4.5, 5.5), (3.5, 4.5)))


def test_area_of_a_box():
    assert features.area(ENERGY, np.full(41, 2.0), (1, 4)) == pytest.approx(6)


def test_the_centroid_of_a_symmetric_line_is_its_middle():
    curve = np.exp(-((ENERGY - 5.05) ** 2))
    assert features.centroid(ENERGY, curve, (0.1, 9.9)) == pytest.approx(5.05, abs=0.02)


def test_the_position_of_a_parabola_between_points_is_found():
    assert features.position(ENERGY, -((ENERGY - 4.63) ** 2), (3, 6)) == pytest.approx(4.63, abs=1e-9)


def test_the_error_of_a_mean_agrees_with_draws():
    rng = np.random.default_rng(3)
    sigma = 0.1 + 0.05 * ENERGY
    draws = [features.mean_in(ENERGY, sigma * rng.standard_normal(41), (2, 6)) for _ in range(4000)]
    assert np.std(draws) == pytest.approx(features.mean_sigma(ENERGY, sigma, (2, 6)), rel=0.05)


def test_the_error_of_a_ratio_agrees_with_draws():
    rng = np.random.default_rng(4)
    curve, sigma = 2 + np.sin(ENERGY), np.full(41, 0.02)
    windows = ((1.0, 2.0), (5.0, 6.0))
    draws = [features.ratio(ENERGY, curve + sigma * rng.standard_normal(41), *windows) for _ in range(4000)]
    assert np.std(draws) == pytest.approx(features.ratio_sigma(ENERGY, curve, sigma, *windows), rel=0.05)


def test_a_level_is_crossed_between_points():
    assert features.crossing(ENERGY, ENERGY / 10, 0.512) == pytest.approx(5.12)
    assert np.isnan(features.crossing(ENERGY, np.zeros(41), 0.5))


RISE = np.arange(0.0, 40.0, 0.25)


def edge(line: float, at: float = 10.0) -> np.ndarray:
    """A step at 20 eV under a broad top, and a line of this height in front of it."""
    top = 0.6 * np.exp(-(((RISE - 23.0) / 3.0) ** 2))
    return 0.5 + np.arctan(RISE - 20.0) / np.pi + top + line * np.exp(-(((RISE - at) / 1.0) ** 2))


def test_an_edge_without_a_line_in_front_rises_where_it_first_crosses():
    found = features.rise_of_edge(RISE, edge(0.0), 0.5, 25.0, 0.3)
    assert found.at == pytest.approx(features.crossing(RISE, edge(0.0), 0.5))
    assert (found.low, found.high, found.lines_before) == (found.at, found.at, False)


def test_a_line_in_front_that_reaches_the_level_is_not_the_edge():
    found = features.rise_of_edge(RISE, edge(0.9), 0.5, 25.0, 0.3)
    assert features.crossing(RISE, edge(0.9), 0.5) < 10.0
    assert found.at == pytest.approx(features.crossing(RISE, edge(0.0), 0.5), abs=0.05) and found.lines_before


def test_a_line_with_a_high_valley_behind_it_leaves_the_place_open_up_to_the_rise():
    value = np.where(RISE < 10.0, edge(1.3), np.maximum(edge(1.3), 0.6))
    found = features.rise_of_edge(RISE, value, 0.5, 25.0, 0.3)
    assert found.low == pytest.approx(features.crossing(RISE, value, 0.5))
    assert 19.0 < found.high < 22.0 and found.lines_before
    assert found.at == pytest.approx(0.5 * (found.low + found.high))


def test_small_wiggles_around_the_level_leave_the_place_between_their_crossings():
    slow = np.interp(RISE, [0.0, 15.0, 17.0, 18.0, 25.0, 40.0], [0.0, 0.55, 0.45, 0.5, 1.0, 1.0])
    found = features.rise_of_edge(RISE, slow, 0.5, 25.0, 0.3)
    assert found.low < 14.0 and found.high == pytest.approx(18.0, abs=0.3) and not found.lines_before
