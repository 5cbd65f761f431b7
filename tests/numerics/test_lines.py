"""Shapes keep their height, width and area, and their slopes are exact."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics import lines

ENERGY = np.linspace(700.0, 720.0, 401)
CENTRE = 708.3


@pytest.mark.parametrize("shape", [lines.gaussian, lines.lorentzian])
def test_a_line_has_its_height_at_the_centre_and_half_of_it_half_a_width_away(shape):
    there = shape(np.array([CENTRE - 0.6, CENTRE, CENTRE + 0.6]), 2.4, CENTRE, 1.2)
    assert there == pytest.approx([1.2, 2.4, 1.2])


def test_a_step_stands_at_three_quarters_half_a_width_above():
    there = lines.arctangent_step(np.array([CENTRE, CENTRE + 0.4]), 2.0, CENTRE, 0.8)
    assert there == pytest.approx([1.0, 1.5])


def test_areas_are_what_a_sum_over_the_curve_gives():
    wide = np.linspace(-4000.0, 4000.0, 800001)
    for share in (0.0, 0.3, 1.0):
        summed = np.trapezoid(lines.pseudo_voigt(wide, 1.5, 0.0, 1.2, share), wide)
        assert summed == pytest.approx(lines.pseudo_voigt_area(1.5, 1.2, share), rel=3e-4)


def test_a_step_rises_as_the_line_it_came_from():
    for step, line, area in (
        (lines.arctangent_step, lines.lorentzian, lines.LORENTZIAN_AREA),
        (lines.error_function_step, lines.gaussian, lines.GAUSSIAN_AREA),
    ):
        rise = np.gradient(step(ENERGY, 1.0, CENTRE, 1.2), ENERGY)[1:-1]
        assert rise == pytest.approx(line(ENERGY, 1 / (area * 1.2), CENTRE, 1.2)[1:-1], abs=2e-3)


@pytest.mark.parametrize(
    ("shape", "slopes", "own"),
    [
        (lines.gaussian, lines.gaussian_slopes, (2.4, CENTRE, 1.2)),
        (lines.lorentzian, lines.lorentzian_slopes, (2.4, CENTRE, 1.2)),
        (lines.pseudo_voigt, lines.pseudo_voigt_slopes, (2.4, CENTRE, 1.2, 0.3)),
        (lines.arctangent_step, lines.arctangent_step_slopes, (2.4, CENTRE, 1.2)),
    ],
)
def test_slopes_are_exact(shape, slopes, own):
    step = 1e-6
    for place in range(len(own)):
        up, down = list(own), list(own)
        up[place] += step
        down[place] -= step
        measured = (shape(ENERGY, *up) - shape(ENERGY, *down)) / (2 * step)
        assert slopes(ENERGY, *own)[:, place] == pytest.approx(measured, abs=1e-6)
