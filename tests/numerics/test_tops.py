"""Tops of a curve stand where they were put; noise and ripples are none."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.tops import tops

AT = np.arange(280.0, 300.0, 0.1)


def humps(*places: float, noise: float = 0.0, seed: int = 1) -> np.ndarray:
    curve = sum(np.exp(-(((AT - place) / 0.8) ** 2)) for place in places)
    return curve + noise * np.random.default_rng(seed).standard_normal(AT.size)


def test_tops_stand_where_they_were_put_in_order_of_energy():
    found = tops(AT, humps(288.73, 285.12, noise=0.01), np.full(AT.size, 0.01))
    assert [top.at_ev for top in found] == pytest.approx([285.12, 288.73], abs=0.05)
    assert all(0 < top.sigma_ev < 0.05 for top in found)


def test_noise_alone_has_no_top():
    flat = 1.0 + 0.01 * np.random.default_rng(3).standard_normal(AT.size)
    assert tops(AT, flat, np.full(AT.size, 0.01)) == []


def test_the_clearest_are_kept_where_there_are_many():
    curve = humps(283.0, 286.0, 289.0) + 0.2 * humps(292.0) + 0.1 * humps(296.0)
    assert [round(top.at_ev) for top in tops(AT, curve, np.zeros(AT.size), most=3)] == [283, 286, 289]


def test_a_rise_to_the_end_is_no_top():
    assert tops(AT, AT - 280.0, np.zeros(AT.size)) == []


def test_too_few_points_have_none():
    assert tops(AT[:5], humps(280.2)[:5], np.zeros(5)) == []
