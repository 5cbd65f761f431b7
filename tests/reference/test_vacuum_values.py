"""Vacuum sums against numbers from outside."""

import numpy as np
import pytest

from edgeshift.numerics import vacuum
from edgeshift.numerics.pumping import weigh


def test_an_invented_load_reaches_its_pressure_when_arithmetic_says():
    """p = 2e-8 + 3e-5 / t mbar is 1e-6 at t = 3e-5 / 9.8e-7 = 30.6 min: arithmetic, no source needed."""
    minutes = np.arange(2.0, 16.0, 0.25)
    low, middle, high = weigh(minutes, 2e-8 + 3e-5 / minutes, True).minutes_to(1e-6, (0.1, 0.5, 0.9))
    assert minutes[-1] + low < 30.6 < minutes[-1] + high
    assert minutes[-1] + middle == pytest.approx(30.6, rel=0.1)


def test_one_milligram_of_water_is_a_litre_and_a_third_of_gas():
    """Ideal gas at 293.15 K: 1 mg / 18.015 g/mol is 1.353 mbar L; 100 mg of powder with 1 % holds it."""
    assert vacuum.water_mbar_l(100 * 0.01) == pytest.approx(1.35, abs=0.01)
    assert vacuum.water_mbar_l(20 * 0.02) == pytest.approx(0.541, rel=0.01)
    assert vacuum.minutes_to_pump(vacuum.water_mbar_l(0.4), 1e-5, 100) == pytest.approx(9.0, rel=0.01)


@pytest.mark.parametrize(
    ("milligram", "limit_mbar", "added"), [(1, 1e-6, 43), (1, 5e-7, 90), (3, 1e-6, 129), (3, 5e-7, 266)]
)
def test_water_holds_a_pump_down_up_by_about_what_a_simulated_lock_says(milligram, limit_mbar, added):
    """Minutes beyond a dry load's at 60 L/s, from a model of 1200 cm2 made while planning this tool."""
    found = vacuum.minutes_as_it_leaves(vacuum.water_mbar_l(milligram), limit_mbar, 60)
    assert found == pytest.approx(added, rel=0.15)
    assert found < vacuum.minutes_to_pump(vacuum.water_mbar_l(milligram), limit_mbar, 60)


def test_ten_litres_that_rise_a_millionth_a_second_leak_a_hundred_thousandth():
    """V dp/dt: arithmetic."""
    assert vacuum.leak_mbar_l_per_s(10, 1e-6) == pytest.approx(1e-5)


def test_the_tube_and_pump_of_a_vacuum_handbook():
    """d = 0.07 m, l = 2.47 m, c = 471 m/s, pump 2.9722e-2 m3/s: Pfeiffer Vacuum, Know-How Book, 7.3.2."""
    tube = vacuum.tube_m3_per_s(0.07, 2.47, 471.0)
    assert tube == pytest.approx(0.017123, abs=1e-6)
    assert vacuum.in_a_row(2.9722e-2, tube) == pytest.approx(0.010864, abs=1e-6)


def test_the_long_tube_rule_for_air_comes_from_kinetic_theory():
    """12.1 d^3 / l in L/s with d and l in cm, as several vacuum notes have it; d 5 cm, l 100 cm."""
    assert vacuum.mean_speed() == pytest.approx(462.87, abs=0.1)
    assert 1e3 * vacuum.tube_m3_per_s(0.05, 1.0) == pytest.approx(15.125, rel=0.002)


@pytest.mark.parametrize(
    ("tubes", "diameter_cm", "length_cm", "torr"),
    [(1, 5, 30, 7.19e-7), (1, 1, 30, 1.548e-5), (25, 1, 30, 1.195e-6), (1, 1, 750, 3.725e-4)],
)
def test_the_outgassing_cube_of_a_university_exercise(tubes, diameter_cm, length_cm, torr):
    """A 10 cm cube, 1e-8 Torr L/s/cm2, a 10 L/s pump behind tubes: question of Physics 405, homework 2,
    University of Maryland; its answers were computed by hand."""
    tube = 1e3 * tubes * vacuum.tube_m3_per_s(diameter_cm / 100, length_cm / 100)
    assert 600 * 1e-8 / vacuum.in_a_row(10.0, tube) == pytest.approx(torr, rel=0.01)
