"""What light meets at a spot: its own edge, its neighbours, and what higher orders bring."""

import numpy as np
import pytest

from edgeshift.practice.mounted import mounted
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
