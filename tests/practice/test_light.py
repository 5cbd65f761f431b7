"""What trouble makes of the scale and of the light."""

import numpy as np
import pytest

from edgeshift.practice.beamline import Beamline, Dip, flux, mesh_yield, order_light
from edgeshift.practice.conditions import Conditions
from edgeshift.practice.light import Spot, glow, monitor, slid_ev, with_a_gap
from edgeshift.practice.target import Part, Target

ENERGY = np.linspace(560.0, 600.0, 161)


def test_a_slide_is_the_same_everywhere_and_a_slip_grows_with_energy():
    apart = np.array([350.0, 700.0, 1400.0])
    assert slid_ev(Conditions(slide_ev=0.35), Beamline(), apart) == pytest.approx(0.35)
    slipped = slid_ev(Conditions(slip_deg=1e-4), Beamline(), apart)
    assert slipped[1:] / slipped[:-1] == pytest.approx(4.0, rel=0.02)


def test_only_the_lost_stretch_is_dark():
    power = with_a_gap(np.ones(100), Conditions(lost=(0.3, 0.4)))
    assert np.flatnonzero(power < 0.5).tolist() == list(range(30, 40))
    assert with_a_gap(np.ones(100), Conditions()).min() == 1.0


def test_a_monitor_before_the_mirrors_knows_nothing_of_their_marks():
    beamline = Beamline()
    behind, before = (monitor(beamline, ENERGY, Conditions(upstream=where)) for where in (False, True))
    assert np.ptp(before) == 0.0
    assert np.abs(np.diff(behind, 2)).max() > 1e-3


def test_the_monitor_answers_each_order_with_its_yield_at_that_energy():
    """Marks at twice the energy are in the monitor, and a clean mesh gives each order its share."""
    clean = Beamline(dips=())
    first = flux(clean, ENERGY) * mesh_yield(clean, ENERGY)
    assert monitor(clean, ENERGY, Conditions()) / first == pytest.approx(1.04)
    second = order_light(clean, ENERGY)[2]
    assert (second * mesh_yield(clean, 2.0 * ENERGY) / first) == pytest.approx(0.03)
    marked = Beamline(dips=(Dip(1160.0, 4.0, 0.2),))
    left = monitor(marked, ENERGY, Conditions()) / monitor(clean, ENERGY, Conditions())
    assert ENERGY[np.argmin(left)] == pytest.approx(580.0, abs=0.3)
    assert 1.0 - left.min() == pytest.approx(0.03 * (1.0 - 0.8 * 1.1) / 1.04, rel=0.02)


def test_the_counter_sees_the_mount_that_the_rest_of_the_beam_meets():
    dark = Target(Part(ENERGY, np.zeros(161), 0.0), 580.0, 0.0, 1.0, 0.0)
    mount = Target(Part(ENERGY, np.ones(161), 0.2, glow=2.0e3), 580.0, 0.0, 1.0, 500.0)
    beamline = Beamline(dips=(), orders=())
    seen = glow(beamline, ENERGY, Spot(dark, mount), 0.0, Conditions(on=0.7))
    assert seen / flux(beamline, ENERGY) == pytest.approx(0.3 * 2.5e3)
