from dataclasses import replace

import numpy as np
from invented import ENERGY, curve, passed, scan

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE
from edgeshift.records.scan import Place
from edgeshift.reduction.blips import after_injection, blips


def rated(number, points=None, blip=None):
    """A noisy pass of one specimen, of all points or as many as asked, with 8 % more at the point `blip`."""
    rng = np.random.default_rng(number)
    signal = (1.0 + curve(1.0)) * (1 + 0.006 * rng.standard_normal(len(ENERGY)))
    if blip is not None:
        signal[blip] *= 1.08
    signal = signal[:points]
    made = passed(scan(f"scan-{number:03d}", signal, place=Place("RAW-A")))
    return replace(made, rates={role: channel.raw[0] for role, channel in made.scan.channels.items()})


def spikes(bits):
    return np.flatnonzero(bits & BY_CODE["spike"].bit).tolist()


def test_scans_of_different_lengths_are_judged_beside_one_another():
    found = blips((rated(1, 200, 60), rated(2), rated(3)), Recipe())
    assert 60 in spikes(found["scan-001"]) and 60 not in spikes(found["scan-002"] | found["scan-003"])
    assert found["scan-001"].size == 200


def test_of_two_blips_side_by_side_the_second_is_found_once_the_first_is_gone():
    first = rated(1, blip=150)
    first.rates["electron-yield"][152] *= 1.15
    found = blips((first, rated(2), rated(3)), Recipe())
    assert spikes(found["scan-001"]) == [150, 152]


def test_a_scan_is_judged_the_same_whatever_other_specimens_were_scanned():
    trio = (rated(1, blip=60), rated(2), rated(3))
    other = rated(4, blip=90)
    more = replace(other, scan=replace(other.scan, place=Place("RAW-B")))
    alone, beside = blips(trio, Recipe()), blips((*trio, more), Recipe())
    for key, bits in alone.items():
        np.testing.assert_array_equal(bits, beside[key])


def test_without_a_clock_no_point_is_blamed_on_an_injection():
    assert not after_injection(scan(injections_s=(100.0,)), 1.5).any()


def test_points_are_touched_from_the_dwell_before_to_the_window_after_an_injection():
    clock = np.arange(1.0, len(ENERGY) + 1)
    touched = after_injection(scan(clock_s=clock, injections_s=(50.5,)), 2.0)
    np.testing.assert_array_equal(clock[touched], [50.0, 51.0, 52.0])


def test_a_line_of_a_survey_is_no_blip():
    """In steps of two eV a white line is one point wide."""
    energy = 270.0 + 2.0 * np.arange(400)
    signal = 1 + 0.002 * np.random.default_rng(1).standard_normal(400)
    signal[39] *= 1.4
    made = passed(scan(signal=signal, energy_ev=energy, edge=None))
    made = replace(made, rates={role: channel.raw[0] for role, channel in made.scan.channels.items()})
    assert not blips((made,), Recipe())["scan-001"].any()
    named = replace(made, scan=replace(made.scan, edge="Ca L"))
    assert spikes(blips((named,), Recipe())["scan-001"]) == [39]
