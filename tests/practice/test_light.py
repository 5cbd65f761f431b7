"""What trouble makes of the scale and of the light."""

import numpy as np
import pytest

from edgeshift.practice.beamline import Beamline
from edgeshift.practice.conditions import Conditions
from edgeshift.practice.light import monitor, slid_ev, with_a_gap

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
