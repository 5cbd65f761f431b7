"""The invented beam: resolution, marks, rhythm."""

import numpy as np
import pytest

from edgeshift.practice.beamline import Beamline, flux, mesh_yield, resolution_ev, ring_for


def test_resolution_follows_the_stated_powers():
    beamline = Beamline()
    assert resolution_ev(beamline, 1560.0) == pytest.approx(0.78)
    assert resolution_ev(beamline, 1850.0) == pytest.approx(1850 / 1700)
    assert resolution_ev(beamline, 300.0) == pytest.approx(0.1)
    assert resolution_ev(beamline, 1030.0) == pytest.approx(1030 / 2500)


def without_marks(beamline):
    return Beamline(**{**vars(beamline), "dips": ()})


@pytest.mark.parametrize(("at_ev", "depth"), [(538.0, 0.08), (577.0, 0.05), (690.0, 0.01)])
def test_the_beam_dips_and_the_mesh_gives_half_of_it_back(at_ev, depth):
    beamline, energy = Beamline(), np.array([at_ev])
    clean = without_marks(beamline)
    dip = 1 - flux(beamline, energy) / flux(clean, energy)
    bump = mesh_yield(beamline, energy) / mesh_yield(clean, energy) - 1
    assert dip == pytest.approx(depth, rel=0.3)
    assert bump == pytest.approx(depth / 2, rel=0.3)


def test_carbon_takes_about_a_third_of_the_beam_and_nothing_from_the_potassium_lines():
    beamline = Beamline()
    energy = np.linspace(280, 300, 401)
    left = flux(beamline, energy) / flux(without_marks(beamline), energy)
    assert 0.25 < 1 - left.min() < 0.40
    assert left[energy > 295.5].min() > 0.998


def test_the_beam_is_positive_and_smooth_at_every_energy():
    energy = np.linspace(270, 1900, 5000)
    light = flux(without_marks(Beamline()), energy)
    assert light.min() > 0.2
    assert np.abs(np.diff(light)).max() < 0.002


def test_electrons_come_in_every_two_minutes_and_fade_slowly_between():
    ring = ring_for(Beamline(), 3600.0, np.random.default_rng(1))
    assert np.diff(ring.injections_s) == pytest.approx(120.0)
    assert ring.injections_s[0] < 0
    assert ring.kicks.min() >= -0.03
    assert ring.kicks.max() <= 0.05
    assert 29 <= ring.between(0.0, 3600.0).size <= 31
    left = ring.decay(Beamline(), np.linspace(0, 3500, 1000))
    assert left.max() <= 1.0
    assert left.min() == pytest.approx(0.999, abs=1e-4)
