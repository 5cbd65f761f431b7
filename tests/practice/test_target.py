"""Electrons and glow of one spot."""

import numpy as np
import pytest

from edgeshift.practice.target import Part, Target

ENERGY = np.linspace(700.0, 720.0, 201)
LINE = np.where(np.abs(ENERGY - 710.0) < 1.0, 4.0, 0.0)


def test_background_is_one_just_below_the_edge_and_the_step_stands_on_it():
    flat = Target(Part(ENERGY, np.ones(201), 0.2), 710.0, 0.0, 1.0, 1.0)
    assert np.interp(710.0, ENERGY, flat.yield_at(ENERGY)) == pytest.approx(1.2)
    assert np.interp(710.0, ENERGY, flat.strength_at(ENERGY)) == pytest.approx(1.0)


def test_a_change_goes_from_fresh_to_changed():
    part = Part(ENERGY, LINE, 0.2, changed=0.5 * LINE)
    assert part.at(np.array([710.0]), 0.0) == pytest.approx(4.0)
    assert part.at(np.array([710.0]), 0.5) == pytest.approx(3.0)
    assert part.at(np.array([710.0]), 1.0) == pytest.approx(2.0)


def test_tall_lines_are_pressed_where_light_stops_early():
    part = Part(ENERGY, LINE, 0.5)
    free, dense = (Target(part, 710.0, 0.0, 1.0, 1.0, escape=escape) for escape in (0.0, 0.1))
    left = dense.yield_at(ENERGY) / free.yield_at(ENERGY)
    assert left[np.argmax(LINE)] < 0.93
    assert left.max() < 1.06


def test_a_thick_specimen_flattens_in_its_glow_and_a_thin_one_does_not():
    part = Part(ENERGY, 1.0 + LINE, 0.5)
    thin, thick = (Target(part, 710.0, 0.0, 1.0, 1.0e4, alpha=alpha) for alpha in (np.inf, 2.0))
    tops = [target.fluorescence_at(ENERGY).max() for target in (thin, thick)]
    assert tops[0] == pytest.approx(1.0e4 * 5.15 / 1.15)
    assert tops[1] == pytest.approx(1.0e4 * (5.0 * 3.0 / 7.0 + 0.15) / 1.15)
