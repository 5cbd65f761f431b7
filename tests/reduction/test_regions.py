"""Scans written as several files, one region after the other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import ENERGY, curve, scan

from edgeshift.recipe.experiment import Experiment
from edgeshift.records.scan import Place
from edgeshift.reduction.edge_of_scan import with_edge
from edgeshift.reduction.regions import regions_joined

SPOT = Place("RAW-A", "1")
AL = Experiment.model_validate({"edges": [{"edge": "Al K"}]})


def region(key: str, low: float, high: float, place: Place = SPOT):
    part = np.logical_and(low <= ENERGY, high > ENERGY)
    made = scan(key, curve(1.0)[part], energy_ev=ENERGY[part], place=place)
    return replace(made, edge=None)


THREE = [region("scan-001", 1550, 1560), region("scan-002", 1560, 1580), region("scan-003", 1580, 1613)]


def test_regions_that_follow_one_another_become_one_scan_and_say_so():
    (one,) = regions_joined(THREE, AL)
    np.testing.assert_array_equal(one.energy_ev, ENERGY)
    assert one.key == "scan-001"
    assert one.regions == ("scan-001", "scan-002", "scan-003")
    assert any("Joined from 3 regions" in doubt for doubt in one.doubts)
    assert with_edge(one, AL).edge == "Al K"


def test_repeats_are_never_joined():
    twice = [region("scan-001", 1550, 1613), region("scan-002", 1550, 1613)]
    assert [s.key for s in regions_joined(twice, AL)] == ["scan-001", "scan-002"]


@pytest.mark.parametrize(
    "other",
    [Place("RAW-A", "2"), Place("RAW-B", "1"), Place("RAW-A", None)],
    ids=["another spot", "another specimen", "an unknown spot"],
)
def test_only_one_known_spot_is_joined(other):
    parts = [region("scan-001", 1550, 1570), region("scan-002", 1570, 1613, other)]
    assert len(regions_joined(parts, AL)) == 2


def test_a_gap_is_no_going_on():
    parts = [region("scan-001", 1550, 1560), region("scan-002", 1575, 1613)]
    assert len(regions_joined(parts, AL)) == 2


def test_two_planned_edges_side_by_side_stay_two_scans():
    both = Experiment.model_validate({"edges": [{"edge": "Fe L"}, {"edge": "Co L"}]})
    energy = np.arange(698.0, 815.0, 0.5)
    signal = 1 + np.exp(-((energy - 709) ** 2)) + np.exp(-((energy - 779) ** 2))
    low, high = energy < 760, energy >= 760
    parts = [
        replace(scan("scan-001", signal[low], energy_ev=energy[low], place=SPOT), edge=None),
        replace(scan("scan-002", signal[high], energy_ev=energy[high], place=SPOT), edge=None),
    ]
    assert len(regions_joined(parts, both)) == 2


def test_regions_with_different_detectors_stay_apart():
    other = replace(THREE[1], channels={"electron-yield": THREE[1].channels["electron-yield"]})
    assert len(regions_joined([THREE[0], other], AL)) == 2
