"""Line and step conventions against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from edgeshift.numerics.lines import (
    GAUSSIAN_AREA,
    LORENTZIAN_AREA,
    arctangent_step,
    error_function_step,
    pseudo_voigt_area,
    voigt_fwhm,
)


def rise(step) -> float:
    """Energy from a tenth to nine tenths of a step of FWHM 1."""
    energy = np.linspace(-5, 5, 200001)
    height = step(energy, 1.0, 0.0, 1.0)
    return float(np.diff(np.interp([0.1, 0.9], height, energy))[0])


def test_an_arctangent_rises_over_three_widths():
    # 2 * tan(0.4 pi) / 2 = 3.0777
    assert rise(arctangent_step) == pytest.approx(3.0777, abs=1e-4)


def test_an_error_function_rises_over_one_width():
    # 2 * 1.28155 / 2.35482 = 1.0884
    assert rise(error_function_step) == pytest.approx(1.0884, abs=1e-4)


def test_areas_over_height_times_width():
    assert pytest.approx(1.06447, abs=5e-6) == GAUSSIAN_AREA
    assert pytest.approx(1.57080, abs=5e-6) == LORENTZIAN_AREA


def test_a_half_and_half_pseudo_voigt_of_area_one_and_width_two_has_height_0_3940143():
    # lmfit 1.3.4 mixes areas: amplitude 1, sigma 1 (FWHM 2), fraction 0.5. We mix heights.
    height = 0.3940143
    share_of_height = 0.5 / (LORENTZIAN_AREA * 2) / height
    assert pseudo_voigt_area(height, 2.0, share_of_height) == pytest.approx(1.0, abs=1e-6)


def test_two_broadenings_together():
    # Olivero and Longbothum 1977 for 1 and 1: 1.637596; exact for 0.40 and 0.20: 0.48715
    assert voigt_fwhm(1.0, 1.0) == pytest.approx(1.637596, abs=1e-6)
    assert voigt_fwhm(0.40, 0.20) == pytest.approx(0.48715, rel=2.5e-4)


def test_two_broadenings_halve_the_exact_profile_at_half_their_width():
    from scipy.special import voigt_profile

    sigma, gamma = 0.20 / (2 * math.sqrt(2 * math.log(2))), 0.40 / 2
    half = voigt_profile(voigt_fwhm(0.40, 0.20) / 2, sigma, gamma) / voigt_profile(0.0, sigma, gamma)
    assert half == pytest.approx(0.5, abs=3e-4)
