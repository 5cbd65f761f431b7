"""What can be seen: reach, overlaps, dose, grains, moisture; doubts where the tables disagree."""

import pytest

from edgeshift.planning.feasibility import feasible, moisture
from edgeshift.planning.scan_lists import scan_list
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import LoadLock, Matter, ScanWish

CLAY = {"O": 0.52, "Al": 0.14, "Si": 0.24, "K": 0.02, "Ca": 0.02, "Ti": 0.01, "Fe": 0.04}


def ask(edge, matter=None, **beamline):
    profile = BeamlineProfile(**beamline)
    return feasible(matter or Matter(weights=CLAY), scan_list(edge, ScanWish(), profile), profile)


def test_an_edge_beyond_the_beamline_or_the_tables_is_not_reachable():
    assert not ask("Al K", energy_to_ev=1300.0).reachable
    assert not ask("P K").reachable
    assert ask("Al K", energy_from_ev=270.0, energy_to_ev=1900.0).reachable


def test_an_element_that_is_not_there_is_said_to_be_missing():
    found = ask("Ba M")
    assert found.reachable and not found.present and found.step is None


def test_second_order_of_aluminium_imitates_barium():
    assert ("Al K", 2) in {(each.edge, each.order) for each in ask("Ba M").overlaps}


def test_second_order_of_iron_bends_calcium():
    assert ("Fe L3", 2) in {(each.edge, each.order) for each in ask("Ca L").overlaps}


def test_a_dilute_element_has_a_small_step_and_hardly_any_self_absorption():
    little, much = ask("Ti L"), ask("Ti L", Matter(formula="TiO2"))
    assert little.step[0] < 0.1 * much.step[0]
    assert ask("Fe L", Matter(weights={"Fe": 0.007, "Si": 0.46, "O": 0.533})).reads > 1.95


def test_where_oxygen_tables_jump_at_two_places_the_tables_are_doubted():
    assert ask("O K").tables_differ
    assert not ask("Si K").tables_differ


def test_a_shallow_beam_sees_less_deep():
    assert ask("Al K", incidence_deg=10.0).depth_um[1] < ask("Al K", incidence_deg=90.0).depth_um[0]


def test_dose_needs_a_flux_and_a_section_and_tells_how_many_scans_matter():
    matter = Matter(weights=CLAY, dose_matters_mgy=8.0)
    told = ask("Fe L", matter, flux_per_s=1e11, beam_mm2=1.0)
    assert ask("Fe L", matter).dose_mgy is None
    assert told.scans == pytest.approx(8.0 / told.dose_mgy) and 1.0 < told.dose_mgy < 5.0
    assert ask("Fe L", matter, flux_per_s=1e11, beam_mm2=10.0).dose_mgy == pytest.approx(told.dose_mgy / 10)


def test_coarse_grains_are_counted():
    matter = Matter(weights=CLAY, grain_um=100.0, mineral_share=0.02)
    assert ask("Ti L", matter, beam_mm2=1.0).grains == pytest.approx(0.70, abs=0.005)


def test_moist_powder_is_a_gas_load_with_minutes_where_the_pump_is_typed():
    matter = Matter(weights=CLAY, powder_mg=20.0, moisture_percent=2.0)
    found = moisture(matter, LoadLock(pump_l_per_s=100.0), 1e-5)
    assert found.mbar_l == pytest.approx(0.541, rel=0.01) and found.minutes == pytest.approx(9.0, rel=0.01)
    assert moisture(matter, LoadLock(), None).minutes is None
    assert moisture(Matter(weights=CLAY), LoadLock(), 1e-5) is None


@pytest.mark.parametrize("typed", [{}, {"formula": "SiO2", "weights": {"Si": 1.0}}])
def test_a_material_is_a_formula_or_weights(typed):
    with pytest.raises(ValueError, match="needs a formula or weights, one of them"):
        Matter(**typed)
