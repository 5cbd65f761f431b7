import numpy as np
import pytest

from edgeshift.numerics import noise

ENERGY = np.concatenate(
    [np.arange(80.0, 95.0, 0.5), np.arange(95.0, 110.0, 0.15), np.arange(110.0, 130.0, 0.4)]
)


def line(energy, height=1.5, at=100.0):
    return (
        1.0 + 0.5 + np.arctan((energy - 99.5) / 0.6) / np.pi + height * np.exp(-(((energy - at) / 1.5) ** 2))
    )


def test_even_steps_give_the_second_difference_over_root_six():
    energy, value = np.arange(30.0), np.random.default_rng(1).standard_normal(30)
    expected = -np.diff(value, 2) / np.sqrt(6.0)
    np.testing.assert_allclose(noise.line_residuals(energy, value), expected)


def test_a_line_of_any_slope_on_uneven_steps_has_no_residual():
    np.testing.assert_allclose(noise.line_residuals(ENERGY, 3.0 - 0.7 * ENERGY), 0.0, atol=1e-12)


def test_uneven_steps_keep_the_noise_of_one_point():
    value = 0.02 * np.random.default_rng(2).standard_normal(ENERGY.size)
    assert noise.line_residuals(ENERGY, value).std() == pytest.approx(0.02, rel=0.15)


def test_a_single_scan_gives_its_noise_within_a_fifth():
    rng = np.random.default_rng(3)
    found = [
        noise.single_scan_noise(ENERGY, line(ENERGY) + 0.01 * rng.standard_normal(ENERGY.size))
        for _ in range(40)
    ]
    assert np.mean(found) == pytest.approx(0.01, rel=0.15)


def test_repeated_energies_are_no_division_by_zero():
    energy = np.array([1.0, 1.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0])
    assert np.isfinite(noise.single_scan_noise(energy, np.sin(energy)))


def test_too_few_points_give_no_number():
    assert np.isnan(noise.single_scan_noise(np.arange(5.0), np.arange(5.0)))


def test_repeats_give_the_true_noise_within_fifteen_percent_whatever_gain_and_slide():
    rng = np.random.default_rng(4)
    for true in (0.004, 0.01, 0.03):
        rows = [
            (1 + 0.1 * rng.normal()) * line(ENERGY - 0.02 * rng.normal()) + 0.05 * rng.normal()
            for _ in range(3)
        ]
        found = noise.pooled_noise(ENERGY, np.array(rows) + true * rng.standard_normal((3, ENERGY.size)))
        assert found == pytest.approx(true, rel=0.15)


def test_one_blip_does_not_move_the_pooled_noise():
    rng = np.random.default_rng(5)
    rows = line(ENERGY) + 0.01 * rng.standard_normal((2, ENERGY.size))
    before = noise.pooled_noise(ENERGY, rows)
    rows[0, 60] += 1.0
    assert noise.pooled_noise(ENERGY, rows) == pytest.approx(before, rel=0.05)


def test_smoothed_repeats_still_show_their_noise_where_one_scan_hides_it():
    rng = np.random.default_rng(6)
    rows = line(ENERGY) + 0.01 * rng.standard_normal((2, ENERGY.size))
    smooth = np.array([np.convolve(np.pad(r, 2, mode="edge"), np.ones(5) / 5, "valid") for r in rows])
    left = 0.01 / np.sqrt(5)
    assert noise.pooled_noise(ENERGY, smooth) == pytest.approx(left, rel=0.2)
    assert noise.single_scan_noise(ENERGY, smooth[0]) < 0.75 * left


def test_one_repeat_alone_gives_no_pooled_noise():
    assert np.isnan(noise.pooled_noise(ENERGY, line(ENERGY)[None]))


def test_noise_that_grows_with_the_level_is_followed():
    rng = np.random.default_rng(7)
    level = np.linspace(1.0, 5.0, 400)
    found = noise.noise_by_level(level, 0.01 * level * rng.standard_normal(400))
    np.testing.assert_allclose(found[[40, 200, 360]], 0.01 * level[[40, 200, 360]], rtol=0.25)


def test_few_points_share_one_noise():
    found = noise.noise_by_level(np.arange(20.0), np.random.default_rng(8).standard_normal(20))
    assert np.ptp(found) == 0.0 and found[0] > 0
