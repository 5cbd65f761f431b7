"""S K in fluorescence from the open library of the International X-ray Absorption Society (CC0).

Expected values: measured on these files by a plain script.
"""

from __future__ import annotations

import numpy as np
import pytest
from open_scans import alone, scans, unscaled

from edgeshift.numerics.features import position
from edgeshift.numerics.slides import Curve, Slide, slide_between
from edgeshift.questions.trust import compare

RISE_EV, TOPS_EV = (2468.0, 2474.0), (2474.0, 2485.0)
REACH_EV = 0.8


@pytest.fixture(scope="module")
def sulphides(open_data):
    """The four scans of CaS, each in edge steps."""
    return [alone(one) for one in scans(open_data / "library_xdi" / "S", "CaS_*")]


def slid(curve, reference, window) -> Slide:
    """How far the curve lies from the reference in the window; height and background are fitted beside it."""
    low, high = window
    cut = []
    for each, margin in ((curve, 0.0), (reference, REACH_EV)):
        inside = (each.energy_ev >= low - margin) & (each.energy_ev <= high + margin)
        cut.append(Curve(each.energy_ev[inside], each.value[inside], np.full(inside.sum(), 0.01)))
    return slide_between(*cut, REACH_EV)


def test_four_calcium_sulphides_agree_in_the_position_of_their_tops(sulphides):
    first, *others = sulphides
    for other in others:
        assert abs(slid(other, first, TOPS_EV).slide_ev) < 0.05, other.key


def test_the_rise_of_the_fourth_comes_early_because_its_tops_are_pressed_down(sulphides):
    """Its tops stay in place, lower by a fifth than its rise: no energy slide does that.

    It is the scan with the most sulphur in the beam; saturation or thickness stay unproven causes.
    """
    first, *others = sulphides
    early = [slid(other, first, RISE_EV) for other in others]
    tops = [slid(other, first, TOPS_EV) for other in others]
    assert [abs(each.slide_ev) < 0.05 for each in early] == [True, True, False]
    assert early[2].slide_ev == pytest.approx(-0.14, abs=0.03)
    assert tops[2].gain / early[2].gain < 0.85
    assert min(top.gain / rise.gain for top, rise in zip(tops[:2], early[:2], strict=True)) > 0.95


def test_what_sets_the_third_and_fourth_apart_is_called_gain_with_its_causes_left_open(open_data):
    first, _, *others = unscaled(scans(open_data / "library_xdi" / "S", "CaS_*"))
    for other in others:
        found = compare(first, other)
        assert found.detail["autopsy"]["main"] == "gain"
        assert any(
            "saturation or thickness may cause it and stay unproven" in said for said in found.cautions
        )


def test_three_gypsums_agree_in_position_and_not_in_height(open_data):
    curves = [alone(one) for one in scans(open_data / "library_xdi" / "S", "gypsum_rt_*")]
    assert np.ptp([position(c.energy_ev, c.value, (2480.8, 2482.8)) for c in curves]) < 0.05
    heights = [curve.value.max() for curve in curves]
    assert np.ptp(heights) / np.mean(heights) > 0.05


def test_a_scan_that_rises_to_its_very_end_has_no_usable_step(open_data):
    """Pentlandite's file runs on to 2672 eV and climbs by more than its own mean on the way."""
    (one,) = scans(open_data / "library_xdi" / "S", "pentlandite*")
    found = alone(one)
    assert found.unit == "area"
    assert any("rises by" in doubt and "without a level" in doubt for doubt in found.doubts)
