"""A slide is found with the error it claims, and is not mistaken for a change of scale or background."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.lines import arctangent_step, gaussian
from edgeshift.numerics.local_lines import spline
from edgeshift.numerics.slides import Curve, quick_slide, slide_between, slide_precision

# The vector of a strong peak: height 2.4, FWHM 1.3 eV, step 0.12 eV, noise 0.01 on both curves
ENERGY = np.arange(-6.0, 6.0 + 1e-9, 0.12)
NOISE = 0.01


def peak(energy: np.ndarray) -> np.ndarray:
    return gaussian(energy, 2.4, 0.0, 1.3)


def noisy(value: np.ndarray, rng: np.random.Generator) -> Curve:
    return Curve(ENERGY, value + NOISE * rng.standard_normal(len(ENERGY)), np.full(len(ENERGY), NOISE))


def many(slide: float, seed: int, count: int):
    rng = np.random.default_rng(seed)
    pairs = ((noisy(peak(ENERGY - slide), rng), noisy(peak(ENERGY), rng)) for _ in range(count))
    return [slide_between(curve, reference, 1.0) for curve, reference in pairs]


def test_the_best_precision_of_a_strong_peak_is_0_0016_ev():
    # arithmetic: sum y'^2 = 2.4^2 sqrt(pi) / (2 s) / 0.12 with s = 1.3 / 2.35482, over 2 * 0.01^2
    sigma = np.full(len(ENERGY), NOISE * np.sqrt(2))
    assert slide_precision(ENERGY, peak(ENERGY), sigma) == pytest.approx(0.0016, abs=5e-5)


def test_the_scatter_of_found_slides_is_0_0016_ev_and_is_what_they_claim():
    found = many(0.0, 1, 400)
    slides = np.array([each.slide_ev for each in found])
    claimed = np.mean([each.error_ev for each in found])
    assert slides.std(ddof=1) == pytest.approx(0.0016, rel=0.12)
    assert claimed == pytest.approx(slides.std(ddof=1), rel=0.12)
    assert abs(slides.mean()) < 0.0003


@pytest.mark.parametrize("slide", [0.35, -0.2, 0.02, 0.06])
def test_a_planted_slide_comes_back(slide):
    found = many(slide, 2, 60)
    assert np.mean([each.slide_ev for each in found]) == pytest.approx(slide, abs=0.001)
    misses = [abs(each.slide_ev - slide) / each.error_ev for each in found]
    assert 0.85 <= np.mean(np.array(misses) < 1.96) <= 1.0


def test_chi_square_is_as_large_as_its_degrees_of_freedom_where_only_noise_differs():
    ratio = np.mean([each.chi_square / each.df for each in many(0.0, 3, 100)])
    assert ratio == pytest.approx(1.0, abs=0.05)


def test_gain_offset_and_slope_are_not_taken_for_a_slide():
    rng = np.random.default_rng(4)
    edge = peak(ENERGY) + arctangent_step(ENERGY, 1.0, -0.5, 0.8)
    moved = 1.2 * (peak(ENERGY - 0.35) + arctangent_step(ENERGY - 0.35, 1.0, -0.5, 0.8)) + 0.1 - 0.02 * ENERGY
    found = slide_between(noisy(moved, rng), noisy(edge, rng), 1.0)
    assert found.slide_ev == pytest.approx(0.35, abs=0.01)
    assert found.gain == pytest.approx(1.2, abs=0.02)
    assert found.offset == pytest.approx(0.1, abs=0.02)
    assert found.slope == pytest.approx(-0.02, abs=0.005)


def test_other_energies_and_missing_points_do_not_move_it():
    rng = np.random.default_rng(5)
    other = np.arange(-5.9, 5.9, 0.171)
    value = peak(other - 0.35) + NOISE * rng.standard_normal(len(other))
    value[10] = np.nan
    curve = Curve(other, value, np.full(len(other), NOISE))
    assert slide_between(curve, noisy(peak(ENERGY), rng), 1.0).slide_ev == pytest.approx(0.35, abs=0.01)


def test_a_changed_shape_shows_in_chi_square():
    rng = np.random.default_rng(6)
    wider = gaussian(ENERGY, 2.4, 0.0, 1.6)
    found = slide_between(noisy(wider, rng), noisy(peak(ENERGY), rng), 1.0)
    assert found.chi_square > 10 * found.df


def test_too_little_in_common_is_refused():
    rng = np.random.default_rng(7)
    with pytest.raises(ValueError, match="a slide needs 8 points in common, found 0"):
        slide_between(noisy(peak(ENERGY), rng), noisy(peak(ENERGY), rng), 6.5)


def test_a_slide_beyond_reach_is_refused():
    rng = np.random.default_rng(8)
    with pytest.raises(ValueError, match="no slide within 0.1 eV"):
        slide_between(noisy(peak(ENERGY - 0.5), rng), noisy(peak(ENERGY), rng), 0.1)


@pytest.mark.parametrize("seed", range(6))
def test_a_quick_slide_comes_to_where_the_whole_one_does(seed):
    rng = np.random.default_rng(seed)
    energy, planted = np.linspace(700.0, 730.0, 240), float(rng.uniform(-0.5, 0.5))

    def shape(at):
        return 2.0 + np.arctan((at - 709.0) / 0.6) / np.pi + 2.5 * np.exp(-(((at - 710.0) / 0.9) ** 2))

    noise = 0.004 * rng.standard_normal((2, energy.size))
    first, second = shape(energy) + noise[0], 1.3 * shape(energy - planted) + 0.2 + noise[1]
    quick = quick_slide(energy, second, spline(energy, first))
    whole = slide_between(
        Curve(energy, second, np.full(240, 0.006)), Curve(energy, first, np.full(240, 0.006)), 1.0
    )
    assert quick.slide_ev == pytest.approx(planted, abs=0.015)
    assert quick.slide_ev == pytest.approx(whole.slide_ev, abs=0.01)
    assert quick.gain == pytest.approx(1.3, rel=0.02) and 0 < quick.error_ev < 0.01


def test_a_quick_slide_of_nothing_in_common_is_none():
    energy = np.linspace(700.0, 730.0, 100)
    curve = np.exp(-(((energy - 710.0) / 0.9) ** 2))
    assert np.isnan(quick_slide(energy + 500.0, curve, spline(energy, curve)).slide_ev)
    assert np.isnan(quick_slide(energy[:9], curve[:9], spline(energy, curve)).slide_ev)
    assert np.isnan(quick_slide(energy, curve, spline(energy, np.ones(100))).slide_ev)


def test_a_height_that_no_number_can_relate_is_not_finite_and_no_fault():
    at = np.linspace(0.0, 10.0, 60)
    line = np.exp(-((at - 5.0) ** 2))
    found = quick_slide(at, 1e200 * line, spline(at, 1e-200 * line))
    assert not np.isfinite(found.gain)
