import numpy as np
import pytest

from edgeshift.numerics import completeness
from edgeshift.numerics.completeness import (
    Need,
    Reach,
    above_chord,
    landmarks,
    line_strength,
    reach,
    step_beside_slope,
    step_strength,
    widest_gap,
)

# Ranges (eV) that a group would scan, with an invented edge in each: first step and its FWHM, white lines
# (eV, FWHM, height in steps), distance from the first edge to the last. Positions from memory, for practice.
SCANS = {
    "Al K": ((1550, 1612, 209), (1567.2, 1.4), [(1568.0, 2.0, 0.95), (1571.6, 2.8, 0.8)], 0.0),
    "Si K": ((1832, 1892, 174), (1846.0, 1.0), [(1846.8, 1.7, 1.7), (1857.5, 5.0, 0.22)], 0.0),
    "Fe L": ((698, 732, 240), (709.0, 1.0), [(708.0, 1.0, 1.1), (709.5, 1.3, 3.6), (722.8, 2.0, 1.1)], 13.0),
    "Ca L": ((340, 362, 171), (349.4, 0.6), [(348.1, 0.5, 1.0), (349.3, 0.6, 6.0), (352.6, 0.7, 4.2)], 3.5),
    "O K": ((524, 562, 227), (536.5, 1.8), [(529.8, 1.0, 0.75), (531.2, 1.2, 0.55), (540.5, 5.0, 0.6)], 0.0),
    "K L": ((292, 304, 141), (297.3, 0.5), [(296.4, 0.6, 0.4), (297.3, 0.6, 5.0), (299.9, 0.7, 3.6)], 2.7),
    "Ti L": ((450, 474, 193), (458.5, 0.7), [(458.0, 0.5, 2.6), (459.9, 0.7, 2.0), (465.3, 1.2, 1.9)], 6.2),
}


def scanned(name, seed=0, fall=0.1):
    """A scan on a background that falls by the share `fall` over the range."""
    (low, high, points), (edge, width), lines, _ = SCANS[name]
    energy = np.linspace(low, high, points)
    value = 1.0 - fall * (energy - low) / (high - low) + 0.5 + np.arctan(2 * (energy - edge) / width) / np.pi
    for at, wide, height in lines:
        value += height * np.exp(-2.7726 * ((energy - at) / wide) ** 2)
    return energy, value * (1 + 0.006 * np.random.default_rng(seed).standard_normal(points))


def too_short(energy, value, need):
    return completeness.too_short(energy, value, need, reach(energy, value, need))


def line_width(energy, value):
    return completeness.line_width(energy, value, reach(energy, value, Need(0.0, False, ())))


def need(name, step=True, windows=()):
    return Need(SCANS[name][3], step, windows)


@pytest.mark.parametrize("name", SCANS)
def test_every_usual_range_is_complete(name):
    for seed in range(10):
        for fall in (0.0, 0.15):
            assert too_short(*scanned(name, seed, fall), need(name)) == ""


@pytest.mark.parametrize("name", SCANS)
def test_a_scan_that_starts_two_volts_before_its_edge_lacks_what_lies_below(name):
    for seed in range(10):
        energy, value = scanned(name, seed)
        later = energy >= SCANS[name][1][0] - 2.0
        assert too_short(energy[later], value[later], need(name)) == "below"


@pytest.mark.parametrize("name", SCANS)
def test_a_scan_cut_after_its_edge_lacks_what_lies_above(name):
    energy, value = scanned(name)
    kept = energy <= SCANS[name][1][0] + SCANS[name][3] + 2.0
    assert too_short(energy[kept], value[kept], need(name)) == "above"


def test_a_ratio_inside_the_edge_asks_for_no_stretch_above():
    energy, value = scanned("Fe L")
    kept = energy <= 716
    windows = ((709.3, 709.7), (707.6, 708.0))
    assert too_short(energy[kept], value[kept], need("Fe L", False, windows)) == ""
    assert too_short(energy[kept], value[kept], need("Fe L", False, ((720.0, 724.0),))) == "feature"


def test_seven_points_are_too_few():
    energy = np.arange(7110.0, 7117.0)
    assert too_short(energy, np.linspace(0.5, 1.5, 7), Need(0.0, True, ())) == "points"


def test_a_curve_that_never_rises_has_no_landmarks():
    falling = np.linspace(2.0, 1.0, 100)
    assert np.isnan(landmarks(np.linspace(1550, 1612, 100), falling)).all()
    assert reach(np.linspace(1550, 1612, 100), falling, Need(0.0, True, ())).below_ev == 0.0


def test_the_white_line_has_its_width():
    assert line_width(*scanned("Ca L")) == pytest.approx(0.6, abs=0.35)


def test_a_point_left_out_at_a_sharp_top_does_not_narrow_the_line():
    energy, value = scanned("Ti L")
    whole = line_width(energy, value)
    top = int(np.argmax(np.where(energy < 459, value, 0.0)))
    for lost in (top - 1, top, top + 1):
        holed = value.copy()
        holed[lost] = np.nan
        assert line_width(energy, holed) > 0.6 * whole > 0.25


def test_a_gap_counts_where_the_feature_is():
    energy, value = scanned("Fe L")
    value[(energy > 708.6) & (energy < 710.4)] = np.nan
    gap, allowed = widest_gap(energy, value, ((709.2, 709.8),), 1.3)
    assert gap > allowed == pytest.approx(0.65)
    gap, allowed = widest_gap(energy, value, ((722.0, 723.5),), 1.3)
    assert gap < allowed


def test_one_lost_point_of_a_regular_grid_is_no_gap_and_two_are():
    rng = np.random.default_rng(9)
    energy = np.arange(450.0, 475.0, 0.1) + 0.002 * rng.standard_normal(250)
    value = np.interp(energy, *scanned("Ti L"))
    windows = ((459.8, 460.0), (460.7, 460.9))
    for lost, whole in (([99], True), ([99, 103], True), ([98, 99], False)):
        holed = value.copy()
        holed[lost] = np.nan
        gap, allowed = widest_gap(energy, holed, windows, 0.4)
        assert (gap <= allowed) == whole


def test_coarse_steps_before_the_edge_are_no_gap():
    energy = np.r_[np.arange(1550, 1562, 2.0), np.arange(1562, 1580, 0.2), np.arange(1580, 1612, 2.0)]
    value = np.interp(energy, *scanned("Al K"))
    gap, allowed = widest_gap(energy, value, (), line_width(energy, value))
    assert gap < allowed


def test_strength_falls_with_noise_and_tells_steps_from_lines():
    energy, value = scanned("Al K")
    strong = step_strength(energy, value, reach(energy, value, need("Al K")))
    rough = value + 0.2 * np.random.default_rng(1).standard_normal(value.size)
    assert strong > 100 > step_strength(energy, rough, reach(energy, rough, need("Al K")))
    energy, value = scanned("K L")
    assert line_strength(energy, value, reach(energy, value, need("K L")), 2.7) > 100


def test_a_weak_edge_on_a_steep_background_still_stands_above_its_chord():
    at = np.linspace(450.0, 475.0, 200)
    lines = 0.05 * np.exp(-(((at - 458.5) / 0.8) ** 2)) + 0.03 * np.exp(-(((at - 464.3) / 0.9) ** 2))
    value = (at / 450.0) ** -2.7 + lines + 0.001 * np.random.default_rng(1).standard_normal(at.size)
    found = Reach(457.3, 458.0, 458.5, 7.0, 9.0, 50, 50, 1.8)
    assert line_strength(at, value, found, 5.8) < 0 < 5 < above_chord(at, value, found, 5.8)


def test_an_edge_turned_upside_down_lies_below_its_chord():
    at = np.linspace(450.0, 475.0, 200)
    value = 1.0 - 0.3 * np.exp(-(((at - 458.5) / 0.8) ** 2))
    value = value + 0.001 * np.random.default_rng(2).standard_normal(at.size)
    assert above_chord(at, value, Reach(457.3, 458.0, 458.5, 7.0, 9.0, 50, 50, 1.8), 5.8) < -5


def test_a_background_that_falls_on_and_on_is_no_edge_that_falls():
    energy = np.arange(392.0, 425.0, 0.2)
    rng = np.random.default_rng(3)
    slope = (1.0 - 0.0015 * (energy - 392.0)) * (1 + 0.004 * rng.standard_normal(energy.size))
    found = Reach(396.0, 397.0, 398.0, 4.0, 20.0, 20, 100, 1.6)
    assert step_strength(energy, slope, found) < -5.0
    assert step_beside_slope(energy, slope, found) > -4.0
    fallen = slope - 0.05 * (energy > 397.0)
    assert step_beside_slope(energy, fallen, found) < -5.0
