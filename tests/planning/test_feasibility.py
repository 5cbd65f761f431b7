"""What can be seen: reach, overlaps, dose, grains, moisture; doubts where the tables disagree."""

import numpy as np
import pytest

from edgeshift.planning.feasibility import feasible, lying, moisture, reach
from edgeshift.planning.scan_lists import scan_list
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import LoadLock, Matter, ScanWish
from edgeshift.tables.edges import edge_named
from edgeshift.tables.matter import mass_attenuation
from edgeshift.wording.feasibility import seen_lines

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
    conflict = ask("O K").tables_differ
    assert 526 < conflict.at_ev < 548 and conflict.factor > 1.25
    assert ask("Si K").tables_differ is None


def test_depth_is_told_of_light_where_the_tables_agree_or_holds_what_they_say():
    quartz = ask("O K", Matter(formula="SiO2"))
    assert quartz.tables_differ.factor > 3 and quartz.depth_um[1] < 1.05 * quartz.depth_um[0]
    assert quartz.tables_differ.from_ev < quartz.tables_differ.to_ev < quartz.depth_at_ev
    told = "\n".join(seen_lines([quartz], reach(Matter(formula="SiO2"), BeamlineProfile()), None, None))
    assert "O K: light of 554 eV, above the edge, reaches 0.22 micrometres deep" in told
    assert "O K: from 532 to 543 eV the tables disagree, by up to a factor of 3.5" in told


def test_an_edge_without_a_line_in_the_tables_says_so():
    chalk = Matter(formula="CaCO3")
    told = "\n".join(seen_lines([ask("Ca L", chalk)], reach(chalk, BeamlineProfile()), None, None))
    assert "Ca L: our tables hold no fluorescence line of this edge" in told


@pytest.mark.parametrize("typed", [{"Si": 0.8, "O": 0.6}, {"Si": 0.3, "O": 0.3}])
def test_weights_that_make_no_whole_are_refused(typed):
    with pytest.raises(ValueError, match="needs weights that add up to 1, or to 100 percent; they add up to"):
        Matter(weights=typed)
    assert Matter(weights={"Si": 46.7, "O": 53.2})


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
    assert found.adds_minutes < found.minutes
    assert moisture(matter, LoadLock(), None).minutes is None
    assert moisture(Matter(weights=CLAY), LoadLock(), 1e-5) is None


def test_every_edge_of_the_material_is_told_whole_in_part_or_out_of_reach():
    found = reach(Matter(weights=CLAY), BeamlineProfile(energy_from_ev=270.0, energy_to_ev=1580.0))
    assert found.whole == ("K L", "Ca L", "Ti L", "O K", "Fe L")
    assert found.part == ("Al K",) and found.none_of == ("Si",)


def test_electrons_come_from_nanometres_and_fluorescence_from_less_deep_than_light_reaches():
    found = ask("Al K")
    assert found.electron_nm == pytest.approx((5.76, 11.5), abs=0.05)
    deepest_um = 1e-3 * found.electron_nm[1]
    assert deepest_um < 0.1 * found.fluorescence_um[0] and found.fluorescence_um[1] < found.depth_um[0]


def test_without_a_line_in_the_tables_no_depth_of_fluorescence_is_told():
    found = ask("K L")
    assert found.fluorescence_um is None and found.reads is None and found.electron_reads is not None


def test_electron_yield_flattens_a_pure_oxide_at_a_grazing_angle_more():
    oxide = Matter(formula="Fe2O3", density=5.2)
    steep, grazing = (ask("Fe L", oxide, incidence_deg=angle).electron_reads for angle in (90.0, 15.0))
    assert grazing[0] < steep[0] < 2.0 and steep[0] < steep[1]
    assert ask("Fe L").electron_reads[0] > steep[0]


def test_what_stands_at_the_limit_is_found_in_ninety_five_of_a_hundred_scans():
    """Noise and such a step: level, slope and step fitted to what lies beside the edge."""
    one = scan_list("Al K", ScanWish(dwell_s=1.0), BeamlineProfile())
    shares = {"Si": 0.467, "O": 0.533}
    found = feasible(Matter(weights=shares), one, BeamlineProfile())
    edge = edge_named("Al K").edges[0]
    rest = max(mass_attenuation(shares, 1.02 * edge.high_ev))
    alone = [mass_attenuation({"Al": 1.0}, at)[0] for at in (0.99 * edge.low_ev, 1.02 * edge.high_ev)]
    fallen = alone[0] * (0.99 * edge.low_ev / (1.02 * edge.high_ev)) ** 2.7
    step = found.sees_from * (alone[1] - fallen) / rest
    flat = np.array([each for each in one.energies_ev if not edge.low_ev - 3 <= each <= edge.high_ev + 12])
    columns = np.column_stack([np.ones_like(flat), flat - flat.mean(), flat > edge.low_ev])
    rng = np.random.default_rng(3)
    noise = one.scatter * rng.standard_normal((flat.size, 4000))
    fitted = np.linalg.lstsq(columns, 1.0 + step * (flat > edge.low_ev)[:, None] + noise, rcond=None)[0][2]
    sigma = one.scatter * np.sqrt(np.linalg.inv(columns.T @ columns)[2, 2])
    assert 0.93 < np.mean(fitted > 1.645 * sigma) < 0.97


def test_twice_the_scatter_needs_twice_as_much():
    few = scan_list("Al K", ScanWish(dwell_s=1.0, noise_at_1s=0.004), BeamlineProfile())
    many = scan_list("Al K", ScanWish(dwell_s=1.0, noise_at_1s=0.008), BeamlineProfile())
    low, high = (feasible(Matter(weights=CLAY), one, BeamlineProfile()).sees_from for one in (few, many))
    assert high == pytest.approx(2 * low)


def test_without_room_beside_the_edge_no_limit_is_told():
    one = scan_list("Al K", ScanWish(low_ev=1558, high_ev=1570), BeamlineProfile())
    assert feasible(Matter(weights=CLAY), one, BeamlineProfile()).sees_from is None


def test_indium_of_the_mount_is_named_at_titanium_and_mirrors_at_carbon():
    assert ("In M4", True) in {(each.edge, each.mount) for each in ask("Ti L").overlaps}
    carbon = ask("C K")
    assert carbon.beam_marks and carbon.on_mounts
    assert not ask("Al K").beam_marks and not ask("Al K").on_mounts


def test_a_tilted_surface_shows_more_grains_and_finer_ones_are_asked_for():
    matter = Matter(weights=CLAY, grain_um=100.0, mineral_share=0.02)
    tilted = ask("Ti L", matter, beam_mm2=1.0, incidence_deg=30.0)
    assert tilted.grains == pytest.approx(0.70 / 2**0.5, abs=0.005)
    fine = matter.model_copy(update={"grain_um": tilted.grind_um})
    assert ask("Ti L", fine, beam_mm2=1.0, incidence_deg=30.0).grains == pytest.approx(0.1)
    finer = matter.model_copy(update={"grain_um": 5.0})
    assert ask("Ti L", finer, beam_mm2=1.0).grind_um is None


def test_a_layered_material_is_told_how_a_line_along_its_normal_would_read():
    matter = Matter(formula="C", layered=True, lies="settled")
    at = [lying(matter, BeamlineProfile(incidence_deg=angle)).strong for angle in (10.0, 54.7356, 90.0)]
    assert at == pytest.approx([2.91, 1.0, 0.0], abs=0.01)
    assert not lying(matter, BeamlineProfile()).angle_typed
    assert lying(Matter(formula="SiO2"), BeamlineProfile()) is None


@pytest.mark.parametrize("typed", [{}, {"formula": "SiO2", "weights": {"Si": 1.0}}])
def test_a_material_is_a_formula_or_weights(typed):
    with pytest.raises(ValueError, match="needs a formula or weights, one of them"):
        Matter(**typed)
