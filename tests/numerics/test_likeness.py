import numpy as np
import pytest

from edgeshift.numerics.likeness import coherence, left_marks, likeness

ENERGY = np.linspace(1550.0, 1612.0, 249)
TILT = (ENERGY - ENERGY.mean()) / np.ptp(ENERGY)


def curve(height=0.9):
    step = 0.5 + np.arctan((ENERGY - 1567) / 0.8) / np.pi
    return 0.3 + step + height * np.exp(-(((ENERGY - 1568) / 1.2) ** 2))


def noisy(value, rng, noise=0.006):
    return value * (1 + noise * rng.standard_normal(value.size))


def test_a_repeat_is_like_the_others_whatever_its_gain():
    rng = np.random.default_rng(1)
    found = likeness(ENERGY, noisy(3 * curve(), rng), np.array([noisy(curve(), rng) for _ in range(2)]))
    assert abs(found.tilt) < 0.03 and abs(found.squeeze) < 0.05 and found.noise_ratio < 1.5


def test_a_tilt_is_read_as_a_share_of_the_height():
    rng = np.random.default_rng(2)
    found = likeness(ENERGY, noisy(curve() - 0.3 * TILT, rng), noisy(curve(), rng)[None])
    assert found.tilt == pytest.approx(-0.3 / np.ptp(curve()), rel=0.25)


def test_a_saturated_scan_is_squeezed_and_the_others_are_stretched():
    rng = np.random.default_rng(3)
    true = curve()
    pressed = true / (1 + 0.25 * true)
    assert likeness(ENERGY, noisy(pressed, rng), noisy(true, rng)[None]).squeeze > 0.15
    assert likeness(ENERGY, noisy(true, rng), noisy(pressed, rng)[None]).squeeze < -0.15


def test_three_times_the_noise_is_read_as_three():
    rng = np.random.default_rng(4)
    others = np.array([noisy(curve(), rng) for _ in range(3)])
    assert likeness(ENERGY, noisy(curve(), rng, 0.018), others).noise_ratio == pytest.approx(3.0, rel=0.3)


def test_nothing_in_common_gives_no_answer():
    assert likeness(ENERGY, curve(), np.full((1, ENERGY.size), np.nan)) is None


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
    found = likeness(ENERGY, noisy(curve(), np.random.default_rng(9)), other[None])
    assert np.isnan(found.noise_ratio)
    assert abs(found.tilt) < 0.05
