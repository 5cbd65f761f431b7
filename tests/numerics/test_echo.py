"""A curve that repeats another one at half its energies."""

import numpy as np
import pytest

from edgeshift.numerics.echo import echo_of

SOURCE_EV = np.linspace(1545.0, 1610.0, 260)
SOURCE = 1 + np.arctan((SOURCE_EV - 1567) / 0.7) / np.pi + 1.6 * np.exp(-(((SOURCE_EV - 1568) / 1.3) ** 2))
AT = np.arange(772.0, 804.0, 0.2)
NAN = float("nan")


def curve(height, seed=0, noise=0.004):
    bent = 1.0 - 0.004 * (AT - 772.0) + 3e-5 * (AT - 772.0) ** 2
    seen = height * np.interp(AT, SOURCE_EV / 2, SOURCE)
    return (bent + seen) * (1 + noise * np.random.default_rng(seed).standard_normal(AT.size))


def test_light_of_the_second_order_is_found_where_half_the_energy_puts_it():
    found = echo_of((AT, curve(0.04)), (SOURCE_EV, SOURCE), 2, NAN)
    assert found.top_ev == pytest.approx(784.0, abs=0.3)
    assert found.share > 6 * found.sigma and found.explains > 0.8


def test_without_it_nothing_is_sure():
    every = [echo_of((AT, curve(0.0, seed)), (SOURCE_EV, SOURCE), 2, NAN) for seed in range(30)]
    assert max(each.share / each.sigma for each in every) < 4.5


def test_a_line_of_another_width_is_not_explained():
    broad = curve(0.0) + 0.08 * np.exp(-(((AT - 788.0) / 4.0) ** 2))
    found = echo_of((AT, broad), (SOURCE_EV, SOURCE), 2, NAN)
    assert found.explains < 0.6


def test_the_tail_of_an_own_line_is_not_taken_for_an_echo():
    tail = curve(0.0) + 0.4 / np.maximum(AT - 770.0, 0.5) ** 2
    found = echo_of((AT, tail), (SOURCE_EV, SOURCE), 2, 770.0)
    assert found.share < 4.5 * found.sigma or found.share < 0.004


def test_ranges_that_do_not_meet_say_nothing():
    assert echo_of((AT, curve(0.04)), (SOURCE_EV, SOURCE), 3, NAN) is None
    assert echo_of((AT, curve(0.04)), (SOURCE_EV, np.ones(SOURCE_EV.size)), 2, NAN) is None
