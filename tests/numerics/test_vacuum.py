"""Vacuum sums keep their units and their directions."""

import pytest

from edgeshift.numerics import vacuum


def test_twice_the_water_takes_twice_the_time():
    once = vacuum.minutes_to_pump(vacuum.water_mbar_l(1.0), 1e-6, 60)
    assert vacuum.minutes_to_pump(vacuum.water_mbar_l(2.0), 1e-6, 60) == pytest.approx(2 * once)


def test_a_tube_before_a_pump_only_takes_away():
    assert vacuum.in_a_row(60.0, 15.0) == pytest.approx(12.0)
    assert vacuum.in_a_row(60.0) == pytest.approx(60.0)


def test_water_moves_faster_than_air():
    assert vacuum.mean_speed(vacuum.WATER_G_PER_MOL) / vacuum.mean_speed() == pytest.approx(1.268, abs=0.002)
