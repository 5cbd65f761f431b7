import numpy as np
import pytest

from edgeshift.numerics.likeness import coherence, left_marks, likeness
from edgeshift.numerics.local_lines import spline

ENERGY = np.linspace(1550.0, 1612.0, 249)
TILT = (ENERGY - ENERGY.mean()) / np.ptp(ENERGY)


def curve(height=0.9):
    step = 0.5 + np.arctan((ENERGY - 1567) / 0.8) / np.pi
    return 0.3 + step + height * np.exp(-(((ENERGY - 1568) / 1.2) ** 2))


def noisy(value, rng, noise=0.006):
    return value * (1 + noise * rng.standard_normal(value.size))


def splines(*curves):
    return [spline(ENERGY, curve) for curve in curves]


def test_a_repeat_is_like_the_others_whatever_its_gain():
    rng = np.random.default_rng(1)
    found = likeness(ENERGY, noisy(3 * curve(), rng), splines(*(noisy(curve(), rng) for _ in range(2))))
    assert abs(found.tilt) < 0.03 and abs(found.squeeze) < 0.05 and found.noise_ratio < 1.5


def test_a_tilt_is_read_as_a_share_of_the_height():
    rng = np.random.default_rng(2)
    found = likeness(ENERGY, noisy(curve() - 0.3 * TILT, rng), splines(noisy(curve(), rng)))
    assert found.tilt == pytest.approx(-0.3 / np.ptp(curve()), rel=0.25)


def test_a_saturated_scan_is_squeezed_and_the_others_are_stretched():
    rng = np.random.default_rng(3)
    true = curve()
    pressed = true / (1 + 0.25 * true)
    assert likeness(ENERGY, noisy(pressed, rng), splines(noisy(true, rng))).squeeze > 0.15
    assert likeness(ENERGY, noisy(true, rng), splines(noisy(pressed, rng))).squeeze < -0.15


def test_three_times_the_noise_is_read_as_three():
    rng = np.random.default_rng(4)
    others = splines(*(noisy(curve(), rng) for _ in range(3)))
    assert likeness(ENERGY, noisy(curve(), rng, 0.018), others).noise_ratio == pytest.approx(3.0, rel=0.3)


def test_nothing_in_common_gives_no_answer():
    assert likeness(ENERGY, curve(), splines(np.full(ENERGY.size, np.nan))) is None


def test_a_slide_of_a_third_of_a_line_presses_nothing_down_and_tilts_nothing():
    rng = np.random.default_rng(6)
    at = np.linspace(290.0, 304.0, 141)

    def lines(slide):
        return 1.0 + sum(
            h * np.exp(-2.77 * ((at - slide - e) / 0.7) ** 2) for e, h in ((297.3, 3.0), (300.0, 2.0))
        )

    for slide in (-0.35, 0.35):
        mine = lines(slide) * (1 + 0.005 * rng.standard_normal(at.size))
        found = likeness(at, mine, [spline(at, lines(0.0))])
        assert abs(found.squeeze) < 0.05 and abs(found.tilt) < 0.03


def test_of_a_pair_at_most_one_is_pressed_down():
    rng = np.random.default_rng(7)
    for slide in (0.0, 0.4):
        true = curve()
        pressed = np.interp(ENERGY - slide, ENERGY, true / (1 + 0.25 * true))
        one, two = noisy(true, rng), noisy(pressed, rng)
        squeezes = likeness(ENERGY, one, splines(two)).squeeze, likeness(ENERGY, two, splines(one)).squeeze
        assert min(squeezes) < 0 < max(squeezes)


def test_a_share_of_a_height_that_is_not_there_is_no_number():
    rng = np.random.default_rng(8)
    level, sloped = noisy(1.0 + 0.0 * ENERGY, rng), noisy(1.0 - 0.1 * TILT, rng)
    found = likeness(ENERGY, sloped, splines(level))
    assert np.isnan(found.tilt) and np.isnan(found.squeeze) and found.noise_ratio < 1.5


def dips(depth):
    return (
        1.0
        - depth * np.exp(-(((ENERGY - 1590) / 0.8) ** 2))
        - depth * np.exp(-(((ENERGY - 1600) / 0.8) ** 2))
    )


def test_beam_marks_left_in_the_ratio_are_coherent():
    rng = np.random.default_rng(5)
    found = coherence(ENERGY, noisy(curve(0.2) * dips(0.1), rng, 0.002), noisy(dips(0.2), rng, 0.0005))
    assert found.correlation > 0.3 and found.sigmas > 3.5


def test_a_white_line_beside_a_divided_dip_is_not_coherent():
    hits = 0
    for seed in range(30):
        rng = np.random.default_rng(seed)
        found = coherence(ENERGY, noisy(curve(), rng), noisy(dips(0.2), rng, 0.0005))
        hits += found is not None and abs(found.correlation) > 0.3 and abs(found.sigmas) > 3.5
    assert hits <= 1


def test_a_smooth_beam_leaves_no_marks_to_look_for():
    rng = np.random.default_rng(6)
    assert coherence(ENERGY, noisy(curve(), rng), noisy(1.0 + 0.1 * TILT, rng, 0.002)) is None


LOW = np.linspace(565.0, 600.0, 140)
LIGHT = 1 - 0.05 * sum(np.exp(-2.77 * ((LOW - at) / 1.4) ** 2) for at in (575.0, 577.0, 584.0, 586.0))


def monitored(rng, monitor):
    """A specimen without an edge here, divided by this monitor."""
    value = noisy((LOW / 580.0) ** -1.5 * LIGHT, rng) / monitor
    return LOW, value, noisy(monitor, rng, 0.0005)


def test_a_monitor_without_the_beams_marks_leaves_them_in_the_curve():
    rng = np.random.default_rng(5)
    usual = monitored(rng, LIGHT)
    found = left_marks(monitored(rng, np.ones(LOW.size)), [usual])
    assert abs(found.in_monitor) < 0.1
    assert found.in_curve == pytest.approx(1.0, abs=0.3) and found.in_curve > 5 * found.sigma


def test_a_monitor_with_the_marks_takes_them_out():
    rng = np.random.default_rng(6)
    found = left_marks(monitored(rng, LIGHT), [monitored(rng, LIGHT) for _ in range(3)])
    assert found.in_monitor == pytest.approx(1.0, abs=0.1) and abs(found.in_curve) < 0.4


def test_a_beam_without_marks_leaves_none():
    rng = np.random.default_rng(7)
    assert left_marks(monitored(rng, LIGHT), [monitored(rng, np.ones(LOW.size))]) is None


def test_others_without_two_neighbouring_points_tell_no_noise():
    other = np.where(np.arange(ENERGY.size) % 2, curve(), np.nan)
    found = likeness(ENERGY, noisy(curve(), np.random.default_rng(9)), splines(other))
    assert np.isnan(found.noise_ratio)
    assert abs(found.tilt) < 0.05


def test_a_scan_that_stays_level_is_compared_with_nothing():
    energy = np.linspace(700.0, 740.0, 81)
    other = spline(energy, np.exp(-(((energy - 710.0) / 2.0) ** 2)))
    assert likeness(energy, np.ones(energy.size), [other]) is None


def test_marks_are_not_sought_beside_a_curve_without_a_mean():
    energy = np.linspace(270.0, 300.0, 61)
    beam = 1.0 + 0.2 * np.sin(energy)
    level = (energy, np.zeros(energy.size), beam)
    assert left_marks((energy, np.ones(energy.size), beam), [level, level]) is None
