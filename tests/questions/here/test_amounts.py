"""How much: ratios of atoms that do not depend on thickness, with intervals nobody can call too narrow."""

from __future__ import annotations

import math

import numpy as np
import pytest
from invented_scans import AL_K, FE_L, aluminium, asked, iron, scan

from edgeshift.errors import TextRefused
from edgeshift.records.scan import Place
from edgeshift.tables.absorption import edge_step

TEXT = {
    "arms": [{"name": "raw", "control": True}, {"name": "fired"}],
    "units": [
        {"name": f"{arm} {pair}", "arm": arm, "pair": pair} for arm in ("raw", "fired") for pair in "ABC"
    ],
    "specimens": [
        {"name": f"{arm} {pair}", "unit": f"{arm} {pair}"} for arm in ("raw", "fired") for pair in "ABC"
    ],
}


def pair(seed: int, place: Place, amount: float = 1.0, iron_times: float = 1.0, **more):
    """Iron and aluminium in one spot; `amount` is its thickness."""
    one = scan(FE_L, iron_times * iron(FE_L, 1.5), edge="Fe L", seed=seed, place=place, **more)
    two = scan(AL_K, aluminium(AL_K), edge="Al K", seed=seed + 500, place=place, **more)
    for each in (one, two):
        next(iter(each.channels.values())).raw[:] *= amount
    return one, two


def only(found, element: str = "Fe") -> dict:
    (spot,) = [each for each in found.detail["amounts"]["spots"] if each["element"] == element]
    return spot


def test_a_ratio_is_that_of_the_steps_over_what_one_atom_adds():
    spot = only(asked(*pair(1, Place("CLAY", "s1")), against="Al"))
    by_set = [
        b.value / a.value for a, b in zip(edge_step("Fe L").values, edge_step("Al K").values, strict=True)
    ]
    expected = (0.15 * 1.5 / 0.4) * math.sqrt(max(by_set) * min(by_set))
    assert spot["value"] == pytest.approx(expected, rel=0.35)
    assert spot["low"] < expected < spot["high"]


def test_twice_as_thick_is_the_same_ratio():
    thin, thick = (only(asked(*pair(1, Place("CLAY", "s1"), a), against="Al"))["value"] for a in (1.0, 2.0))
    assert thick == pytest.approx(thin, rel=1e-6)


def test_the_interval_is_never_narrower_than_the_tables_allow():
    spot = only(asked(*pair(1, Place("CLAY", "s1"), noise=1e-4), against="Al"))
    assert spot["tables"] > 0.01 and spot["monitor"] > 0.5
    assert spot["high"] / spot["value"] > 1.0 + spot["monitor"]


def test_light_that_a_specimen_swallows_widens_the_interval_to_both_sides():
    electrons = only(asked(*pair(1, Place("CLAY", "s1")), against="Al"))
    light = only(asked(*pair(1, Place("CLAY", "s1"), signal="fluorescence"), against="Al"))
    assert light["high"] / light["low"] > 2.0 * electrons["high"] / electrons["low"]


def test_two_spots_are_never_mixed():
    one, _ = pair(1, Place("CLAY", "s1"))
    _, two = pair(1, Place("CLAY", "s2"))
    with pytest.raises(TextRefused, match="the reference Ti"):
        asked(one, two, against="Ti")
    assert asked(one, two, against="Al").detail["amounts"]["spots"] == []


@pytest.mark.parametrize(("times", "state"), [(1.0, "not-shown"), (2.0, "lit")])
def test_arms_are_compared_by_their_units(times, state):
    scans = []
    for k, unit in enumerate(TEXT["units"]):
        scatter = 1.0 + 0.05 * np.random.default_rng(k).standard_normal()
        gain = times if unit["arm"] == "fired" else 1.0
        scans += pair(10 + k, Place(unit["name"], "s1"), iron_times=gain * scatter)
    (arm,) = asked(*scans, text=TEXT, against="Al").detail["amounts"]["arms"]
    assert (arm["state"], arm["paired"], arm["units"]) == (state, True, (3, 3))
    assert arm["low"] < times < arm["high"]


def test_one_unit_an_arm_cannot_be_tested():
    scans = [*pair(1, Place("raw A", "s1")), *pair(2, Place("fired A", "s1"), iron_times=2.0)]
    (arm,) = asked(*scans, text=TEXT, against="Al").detail["amounts"]["arms"]
    assert arm["state"] == "cannot-test"


def test_repeats_of_a_spot_are_averaged_and_their_scatter_is_in_the_interval():
    place = Place("CLAY", "s1")
    once = only(asked(*pair(1, place), against="Al"))
    alike = only(asked(*pair(1, place), *pair(2, place), *pair(3, place), against="Al"))
    assert len(alike["scans"]) == 6 and alike["noise"] < once["noise"]
    apart = [
        scan for seed, times in ((1, 0.8), (2, 1.0), (3, 1.2)) for scan in pair(seed, place, iron_times=times)
    ]
    spread = only(asked(*apart, against="Al"))
    assert spread["value"] == pytest.approx(alike["value"], rel=0.05), "the mean, and not the clearest scan"
    assert spread["noise"] > 3 * alike["noise"]
