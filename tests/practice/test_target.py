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
    part = Part(ENERGY, 1.0 + LINE, 0.5, glow=1.0e4)
    thin, thick = (Target(part, 710.0, 0.0, 1.0, 1.0e3, alpha=alpha) for alpha in (np.inf, 2.0))
    tops = [target.fluorescence_at(ENERGY).max() for target in (thin, thick)]
    assert tops[0] == pytest.approx(5.0e4 + 1.0e3)
    assert tops[1] == pytest.approx(1.0e4 * 5.0 * 3.0 / 7.0 + 1.0e3)


def test_the_counter_sees_every_edge_in_its_range_and_those_that_higher_orders_meet():
    own, other = (Part(ENERGY, np.ones(201), 0.5, glow=glow) for glow in (1.0e4, 3.0e3))
    iron = Part(2.0 * ENERGY, LINE, 0.2, glow=1.0e4)
    bare = Target(own, 710.0, 0.0, 1.0, 1.0e3)
    seen = Target(own, 710.0, 0.0, 1.0, 1.0e3, sees=(other,), orders={2: (iron,)})
    assert seen.fluorescence_at(ENERGY) - bare.fluorescence_at(ENERGY) == pytest.approx(3.0e3)
    more = seen.order_fluorescence_at(ENERGY, 2) - bare.order_fluorescence_at(ENERGY, 2)
    assert more == pytest.approx(1.0e4 * LINE)
    assert bare.order_fluorescence_at(ENERGY, 2) == pytest.approx(2.0**-2.7 * 1.1e4)


def test_light_of_twice_the_energy_frees_electrons_as_its_own_energy_has_it():
    smooth = Target(Part(ENERGY, np.zeros(201), 0.0), 710.0, 0.0, 1.0, 1.0)
    ratio = smooth.order_yield_at(ENERGY, 2) / smooth.yield_at(ENERGY)
    assert ratio == pytest.approx(2.0 * 2.0**-2.7)
