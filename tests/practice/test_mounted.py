"""What light meets at a spot: its own edge, its neighbours, and what higher orders bring."""

import math

import numpy as np
import pytest

from edgeshift.practice.attenuation import of_matter
from edgeshift.practice.mounted import mounted, taken_along
from edgeshift.practice.schedule import planned

SEED = (1, 2)


@pytest.fixture(scope="module")
def third(scenario_named):
    return mounted(scenario_named("riverbank-3"), SEED)


def test_a_calcium_scan_meets_iron_in_second_order_and_carbon_sees_potassium(third):
    calcium, carbon = third.target("Ca L", "RAW-A", "s1"), third.target("C K", "RAW-A", "s1")
    assert [len(calcium.orders[order]) for order in (2, 3)] == [1, 0]
    iron = calcium.orders[2][0]
    assert iron.energy_ev[np.argmax(iron.absorption)] == pytest.approx(709.5, abs=0.1)
    assert len(carbon.sees) == 1


def test_the_scans_of_the_first_shift_meet_nothing_else(riverbank):
    holder = mounted(riverbank, SEED)
    for edge in riverbank.edges:
        target = holder.target(edge, "RAW-A", "s1")
        assert not target.sees
        assert not any(target.orders.values())


def test_a_blank_has_nothing_of_an_element_that_nobody_gave_it(third):
    assert third.target("Al K", "INDIUM", "s1").own.step == 0.0
    assert third.target("C K", "TAPE", "s1").own.step > 1.0
    assert third.target("C K", "TAPE", "s1").amount < 0.5


def test_only_raw_clay_is_damaged(riverbank):
    holder = mounted(riverbank, SEED)
    assert holder.target("Fe L", "RAW-A", "s1").own.changed is not None
    assert holder.target("Fe L", "PIT750-A", "s1").own.changed is None
    assert holder.target("Al K", "RAW-A", "s1").own.changed is None


def test_a_scan_leaves_its_dose_by_the_size_of_the_beam(riverbank):
    holder = mounted(riverbank, SEED)
    scan = next(s for s in planned(riverbank, np.random.default_rng(1)) if s.edge == "Fe L")
    spot = holder.spot_of(scan, 0.5)
    assert spot.dose_mgy == 0.5
    assert 700 < spot.gray_per_s < 1000  # 10 mm²; job: about 9.7 kGy/s at 1 mm² with 850 m² per kg


def test_a_specimen_is_as_dilute_and_as_dense_as_what_it_is_made_of(riverbank, third, scenario_named):
    holder = mounted(riverbank, SEED)
    clay, ochre = holder.target("Fe L", "RAW-A", "s1"), holder.target("Fe L", "GOETHITE", "s1")
    assert ochre.alpha < 2.0 < 10.0 < clay.alpha
    assert ochre.escape > 2.0 * clay.escape
    assert third.target("Ca L", "CALCITE", "s1").alpha == pytest.approx(1.07, rel=0.25)
    assert math.isinf(third.target("C K", "TAPE", "s1").alpha)
    linen = mounted(scenario_named("linen"), SEED)
    assert linen.target("Al K", "BARE-1", "s1").escape < 0.6 * holder.target("Al K", "RAW-A", "s1").escape


def test_a_dose_is_left_in_what_the_specimen_is_made_of(riverbank, scenario_named):
    rates = {}
    for scenario in (riverbank, scenario_named("linen")):
        holder = mounted(scenario, SEED)
        scan = next(s for s in planned(scenario, np.random.default_rng(1)) if s.edge == "Al K")
        rates[scenario.name] = holder.spot_of(scan, 0.0).gray_per_s
        shares = scenario.material_of(scan.specimen).shares
        arriving = 1e11 * 1566.5 * 1.602e-19 / 1e-5  # W on 10 mm²
        assert rates[scenario.name] == pytest.approx(0.1 * arriving * of_matter(shares, 1566.5), rel=1e-3)
    assert rates["linen"] != pytest.approx(rates["riverbank"], rel=0.1)


def test_a_blank_glows_with_its_background_alone(third):
    blank = third.target("Al K", "INDIUM", "s1")
    assert blank.own.glow == 0.0
    assert 0.0 < blank.glow_below < 0.1 * third.target("Al K", "RAW-A", "s1").own.glow


def test_a_survey_glows_at_every_edge_that_it_sees(third):
    target = third.target("survey", "PLAIN-A", "s9")
    around = np.array([300.0, 600.0, 700.0, 720.0, 1540.0, 1600.0])
    seen = target.fluorescence_at(around)
    assert seen[3] > seen[2] + 2e2
    assert seen[5] > seen[4] + 2e3


def test_a_counter_that_takes_one_line_hardly_sees_another(third):
    calcium, iron = third.target("Ca L", "OCHRE-A", "s1"), third.target("Fe L", "OCHRE-A", "s1")
    assert iron.own.glow > 1e4
    assert calcium.orders[2][0].glow < 1e-6 * iron.own.glow
    edges = third.scenario.edges
    assert taken_along(edges["survey"], edges["Fe L"]) == 0.2
    assert taken_along(edges["Ti L"], edges["Fe L"]) == taken_along(edges["Al K"], edges["Al K"]) == 1.0
    assert taken_along(edges["Ca L"], edges["C K"]) == pytest.approx(0.5 ** ((2 * 51.3 / 80) ** 2))
