"""Ten short scans of one spot: too short for a step, long enough to look for a drift.

Data: Le Losq, Moretti, Medard, Berthod, Schiavi, Trcera, Lebas 2025, supporting data, CC BY 4.0. Expected:
"no change larger than about 0.1 % a scan", measured on these files by a plain script.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from open_scans import RECIPE, reduced, scans, unscaled

from edgeshift.numerics.features import mean_in
from edgeshift.numerics.trends import per_step
from edgeshift.questions import trust
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.scan import Place
from edgeshift.records.shift_state import ShiftState
from edgeshift.reduction.pipeline import flagged

PAST_THE_RISE_EV = (7112.02, 7115.95)


@pytest.fixture(scope="module")
def series(open_data):
    some = scans(open_data / "dose_series_raw", "*.dat")
    assert len(some) == 10
    assert {one.edge for one in some} == {"Fe K"}
    return some


def test_seven_points_are_too_short_to_scale_to_a_step_and_the_curves_say_so(series):
    spots = reduced(series).spots
    assert {spot.unit for spot in spots} == {"area"}
    for spot in spots:
        assert "No usable edge step: the scan has no stretch below the edge." in spot.doubts


def test_the_spot_does_not_change_by_more_than_about_a_thousandth_a_scan(series):
    """Slope 0.09 % a scan, give or take 0.13 %: no change is shown, and 0.25 % a scan would have been."""
    levels = [mean_in(curve.energy_ev, curve.value, PAST_THE_RISE_EV) for curve in unscaled(series)]
    found = per_step(np.array(levels), 0.05)
    assert abs(found.per_step) < 0.0011
    assert abs(found.per_step) < found.give_or_take, "a change is shown"
    assert found.largest < 0.0025


def test_trust_reads_the_ten_scans_as_a_series_with_its_limit(series):
    """Each is set aside as too short to scale, and together they still say what the spot did."""
    same = [replace(one, place=Place("glass", "one")) for one in series]
    found = trust.answer(ShiftState(), Experiment(), {"Fe K": flagged(same, RECIPE)})
    assert all(entry["verdict"] == "set-aside" for entry in found.detail["scans"].values())
    (steady,) = found.detail["findings"]
    assert steady["code"] == "series-steady" and steady["sentence"].startswith("Ten short scans of one spot")
    assert abs(steady["numbers"]["percent"]) < 0.15 and steady["numbers"]["sigma"] < 0.15
