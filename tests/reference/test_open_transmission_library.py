"""Transmission from the open library of the International X-ray Absorption Society (CC0).

Edge energies: our own table, whose sources stand in it. Ranks of the manganese oxides: measured on these
files by a plain script.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from open_scans import alone, reduced, scan, scans

from edgeshift.numerics.edges import steepest_rise
from edgeshift.numerics.features import crossing, position
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.records.scan import Place, Tie
from edgeshift.tables.edges import edge_named

OXIDES = ("Mn3O4", "Mn2O3", "MnO2")
FOIL_BEHIND = BeamlineProfile.model_validate(
    {
        "energy": {"column": "energy"},
        "channels": [
            {"role": "i0", "columns": ["itrans"], "unit": "none"},
            {"role": "transmitted", "columns": ["irefer"], "unit": "none"},
        ],
        "signal": "transmitted",
    }
)
"""The foil behind the specimen: what came through the specimen is its incoming beam."""


def tabulated(name: str) -> float:
    """The table's energy of an edge, the middle of its sources."""
    edge = edge_named(name).edges[0]
    return (edge.low_ev + edge.high_ev) / 2


@pytest.mark.parametrize("pattern", ["Fe/Fe_metal_*", "Fe/Hansel2001_Fe_foil_*", "V/V_foil*"])
def test_the_steepest_point_of_a_metal_lies_within_one_ev_of_the_table(open_data, pattern):
    for one in scans(open_data / "library_xdi", pattern):
        curve, expected = alone(one), tabulated(one.edge)
        found = steepest_rise(curve.energy_ev, curve.value, (expected - 5, expected + 5))
        assert found == pytest.approx(expected, abs=1.0)


def test_the_first_top_of_elemental_sulphur_lies_within_one_ev_of_the_table(open_data):
    """Its steepest point lies 1.6 eV below the table: nobody tied this axis, and nothing is tied unasked."""
    (one,) = scans(open_data / "library_xdi" / "S", "S_elemental*")
    curve = alone(one)
    assert position(curve.energy_ev, curve.value, (2470.7, 2472.7)) == pytest.approx(
        tabulated("S K"), abs=1.0
    )
    assert steepest_rise(curve.energy_ev, curve.value, (2465, 2475)) == pytest.approx(2470.4, abs=0.15)


def test_every_edge_named_in_a_file_is_among_those_its_energies_allow(open_data):
    for path in sorted((open_data / "library_xdi").rglob("*.xdi")):
        one = scan(path)
        rise = edge_named(one.edge).edges[0]
        assert rise.element == path.parent.name
        assert one.energy_ev.min() < rise.low_ev <= rise.high_ev < one.energy_ev.max()


def test_a_line_lies_under_every_transmitted_beam_and_a_step_of_one_is_left(open_data):
    for folder in ("Fe", "Mn", "V", "Ce"):
        for one in scans(open_data / "library_xdi" / folder, "*.xdi"):
            found = reduced([one])
            low, high = found.recipe.scale.above_ev
            (curve,) = found.spots
            above = (curve.energy_ev >= low) & (curve.energy_ev <= high)
            assert (one.signal, found.recipe.baseline.degree, curve.unit) == ("transmitted", 1, "step")
            assert curve.value[above].mean() == pytest.approx(1)
            assert abs(curve.value[: max(3, above.size // 20)].mean()) < 0.03


@pytest.fixture(scope="module")
def foils(open_data):
    """The steepest point of the manganese foil behind each oxide: scan name -> eV."""
    found = {}
    for path in sorted((open_data / "library_xdi" / "Mn").glob("*.xdi")):
        curve = alone(scan(path, profile=FOIL_BEHIND))
        slope = np.gradient(curve.value, curve.energy_ev)
        found[path.stem] = position(curve.energy_ev, slope, (6534.5, 6542.5))
    return found


@pytest.fixture(scope="module")
def oxides(open_data, foils):
    """Three scans of each oxide as one spectrum, their axes tied to one foil position."""
    common = float(np.mean(list(foils.values())))
    ties = {
        name: Tie(common - foil, 0.02, "manganese foil behind the specimen") for name, foil in foils.items()
    }
    tied = []
    for path in sorted((open_data / "library_xdi" / "Mn").glob("*.xdi")):
        one = scan(path, place=Place(path.stem.split("_")[0], "1"))
        tied.append(replace(one, tie=ties[one.key]))
    found = reduced(tied)
    assert any("manganese foil behind the specimen" in sentence for sentence in found.methods)
    return {spot.place.specimen: spot for spot in found.spots}


def test_the_foil_behind_each_oxide_lies_within_one_ev_of_the_table(foils):
    assert len(foils) == 9
    assert all(foil == pytest.approx(tabulated("Mn K"), abs=1.0) for foil in foils.values())
    for oxide in OXIDES:
        assert np.ptp([foil for name, foil in foils.items() if name.startswith(oxide)]) < 0.05


def test_manganese_oxides_are_ranked_by_half_a_step(oxides):
    found = [crossing(oxides[name].energy_ev, oxides[name].value, 0.5) for name in OXIDES]
    np.testing.assert_allclose(found, [6546.0, 6549.6, 6551.65], atol=0.25)
    assert found == sorted(found)


def test_the_steepest_point_reverses_two_of_them(oxides):
    found = [steepest_rise(oxides[name].energy_ev, oxides[name].value, (6535, 6560)) for name in OXIDES]
    assert found[0] < found[2] < found[1]
