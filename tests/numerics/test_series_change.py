"""What changes over repeats of one spot."""

import numpy as np
import pytest

from edgeshift.numerics.series_change import change_over, share_of_change

AT = np.r_[np.arange(700.0, 706.0, 0.5), np.arange(706.0, 716.0, 0.1), np.arange(716.0, 735.0, 0.5)]
ALONG = np.linspace(0.0, 1.0, AT.size)


def line(centre, width, energy=AT):
    return np.exp(-2.77 * ((energy - centre) / width) ** 2)


def curve(share=0.3, slide=0.0):
    energy = AT - slide
    step = 0.5 + np.arctan((energy - 709.0) / 0.5) / np.pi
    return 3.0 + step + (1 - share) * 2.0 * line(709.5, 1.3, energy) + share * 2.0 * line(707.8, 1.1, energy)


def noisy(rows, seed, noise=0.004):
    rows = np.array(rows)
    return rows * (1 + noise * np.random.default_rng(seed).standard_normal(rows.shape))


@pytest.mark.parametrize("seed", range(5))
def test_repeats_that_differ_in_gain_offset_and_slope_alone_do_not_change(seed):
    tilt = (AT - AT.mean()) / np.ptp(AT)
    rows = [curve(), 1.2 * curve() + 0.1, curve() + 0.2 * tilt]
    assert change_over(AT, noisy(rows, seed), ALONG, False).kind == "none"


@pytest.mark.parametrize("size", [0.1, -0.25, 0.4])
def test_a_drift_of_the_energy_is_a_slide_of_its_size(size):
    found = change_over(AT, noisy([curve(slide=size * k / 3) for k in range(4)], 1), ALONG, False)
    assert found.kind == "slide"
    assert found.slide_ev == pytest.approx(size, abs=0.02)


def test_a_share_that_moves_is_a_change_of_shape_and_no_slide():
    found = change_over(AT, noisy([curve(0.2 + 0.1 * k) for k in range(4)], 2), ALONG, False)
    assert found.kind == "shape" and found.size > 5 * found.sigma
    assert found.whole >= found.size


def test_a_loss_that_grows_along_the_scan_and_with_the_yield_is_a_sag():
    def sagged(k):
        level = curve() / curve().max()
        return curve() * (1 - 0.08 * k * level * (1 - np.exp(-ALONG / 0.2)))

    found = change_over(AT, noisy([sagged(k) for k in range(4)], 3), ALONG, False)
    assert found.kind == "sag"


def test_tall_parts_pressed_down_are_harmless_only_where_that_is_said():
    pressed = [curve() / (1 + 0.03 * k * curve()) for k in range(3)]
    assert change_over(AT, noisy(pressed, 4, 0.001), ALONG, True).size < 0.3 * (
        change_over(AT, noisy(pressed, 4, 0.001), ALONG, False).size
    )


def test_too_few_common_points_say_nothing():
    rows = np.array([curve(), curve()])
    rows[0, ::2], rows[1, 1::2] = np.nan, np.nan
    assert change_over(AT, rows, ALONG, False) is None
    assert change_over(AT, rows[:1], ALONG, False) is None


def test_a_fresh_curve_lies_at_the_start_of_a_change_and_the_last_one_at_its_end():
    rows = noisy([curve(0.2 + 0.15 * k) for k in range(3)], 5)
    found = change_over(AT, rows, ALONG, False)
    fresh, last = noisy([1.3 * curve(0.2), curve(0.5)], 6)
    assert share_of_change(found, AT, rows[0], fresh).share == pytest.approx(0.0, abs=0.15)
    assert share_of_change(found, AT, rows[0], last).share == pytest.approx(1.0, abs=0.15)


def test_a_curve_elsewhere_has_no_place_along_a_change():
    found = change_over(AT, noisy([curve(0.2), curve(0.6)], 7), ALONG, False)
    assert np.isnan(share_of_change(found, AT + 500.0, curve(), curve()).share)
