"""The gauge's log."""

import numpy as np
import pytest

from edgeshift.practice import shift
from edgeshift.practice.pressure import Load, chamber_mbar, log_bytes, pressure_mbar


def test_the_log_is_a_table_of_minutes_and_pressures():
    rows = np.loadtxt(log_bytes(Load("one", lasts_min=30.0), np.random.default_rng(1)).decode().splitlines())
    assert rows[0, 0] == 1.0
    assert rows[-1, 0] == 30.0
    assert np.polyfit(np.log(rows[:, 0]), np.log(rows[:, 1]), 1)[0] == pytest.approx(-1.0, abs=0.03)


def test_water_pores_and_leaks_keep_the_pressure_up():
    late = np.array([60.0, 240.0])
    dry = pressure_mbar(Load("dry"), late)
    for wrong in ({"water_mg": 1.0}, {"pores": 1.0}, {"leak_mbar": 1e-6}):
        assert (pressure_mbar(Load("wrong", **wrong), late) > dry).all()
    pores = pressure_mbar(Load("pores", pores=50.0), late)
    assert np.log(pores[1] / pores[0]) / np.log(4.0) == pytest.approx(-0.5, abs=0.05)


def test_every_load_of_a_shift_leaves_its_log_before_the_first_scan(scenario_named):
    made = shift(scenario_named("riverbank-3"), 1)
    assert [log.name for log in made.logs] == ["pressure_load-3.txt", "pressure_load-3-damp.txt"]
    assert all(log.at_s <= 0 for log in made.logs)


def test_the_chamber_goes_on_where_the_log_of_the_last_load_ends():
    loads = (Load("damp", -150.0, 80.0, water_mg=1.0), Load("dry", -65.0, 60.0))
    log = np.loadtxt(log_bytes(loads[1], np.random.default_rng(1)).decode().splitlines())
    assert chamber_mbar(loads, -300.0) == pytest.approx(log[-1, 1], rel=0.1)
    assert chamber_mbar(loads, 0.0) > chamber_mbar(loads, 3600.0) > 2.0e-8
