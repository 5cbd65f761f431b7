"""Detectors behave as detectors do."""

import io
from dataclasses import replace

import numpy as np
import pytest

from edgeshift.practice import shift
from edgeshift.practice.beamline import ring_for
from edgeshift.practice.instrument import counted, measure
from edgeshift.practice.light import Spot
from edgeshift.practice.schedule import planned
from edgeshift.practice.target import Part, Target

DEAD_S = 1.6e-6


def columns(file):
    """energy, mesh, drain, counts, clock, dwell."""
    return np.loadtxt(io.BytesIO(file.data), unpack=True)


def test_a_busy_counter_misses_a_quarter_of_200_thousand_a_second():
    rng = np.random.default_rng(2)
    seen = counted(np.full(4000, 2.0e5), np.ones(4000), DEAD_S, rng)
    assert seen.mean() == pytest.approx(151_515, rel=2e-4)  # n / (1 + n tau)
    assert (seen == np.rint(seen)).all()
    assert seen.var() == pytest.approx(151_515 / 1.32**2, rel=0.1)


def test_a_quiet_counter_is_plain_poisson():
    seen = counted(np.full(20000, 400.0), np.full(20000, 0.5), DEAD_S, np.random.default_rng(3))
    assert seen.mean() == pytest.approx(200, rel=5e-3)
    assert seen.var() == pytest.approx(200, rel=0.05)


def test_fluorescence_in_the_files_lies_within_what_such_a_counter_can_do(made):
    for file in made.files:
        _, _, _, counts, _, dwell = columns(file)
        assert counts.min() > 0
        assert (counts / dwell * DEAD_S).max() < 0.6


@pytest.fixture(scope="module")
def one_scan(riverbank):
    """A function that measures the first scan over a bare, featureless target with a changed beamline."""
    scan = planned(riverbank, np.random.default_rng(0))[0]
    flat = Target(Part(scan.asked_ev, np.zeros(scan.asked_ev.size), 0.0), 1566.0, 0.0, 1.0, 1.0e4)

    def measured(seed, amount=1.0, **changes):
        beamline = replace(riverbank.beamline, **changes)
        rng = np.random.default_rng(seed)
        ring = ring_for(beamline, 7200.0, np.random.default_rng(1))
        reading, happened = measure(scan, Spot(replace(flat, amount=amount)), beamline, ring, rng)
        mesh = reading.mesh_volt - beamline.mesh_dark_volt
        drain = -(reading.drain_amp - beamline.drain_dark_amp)
        return mesh, drain, happened

    return measured


def spread(ratio):
    """White noise of a smooth curve, relative, from second differences."""
    ratio = ratio / ratio.mean()
    return np.std(np.diff(ratio, 2)) / np.sqrt(6)


QUIET = {"spike_every": 1e12, "kick": (0.0, 0.0), "jitter_ev": 0.0}


def test_yield_noise_is_a_share_of_the_signal_and_no_root_of_it(one_scan):
    for amount in (1.0, 0.01):
        mesh, drain, happened = one_scan(4, amount, **QUIET)
        assert 0.004 <= happened.noise <= 0.008
        assert spread(drain / mesh) == pytest.approx(happened.noise, rel=0.2)


def test_what_the_beam_does_to_both_detectors_divides_out(one_scan):
    mesh, drain, _ = one_scan(5, noise=(0.0, 0.0), flicker=0.02, **QUIET)
    assert spread(mesh) > 0.01
    assert spread(drain / mesh) < 0.001


def test_an_injection_touches_one_point_of_both_detectors(one_scan):
    calm = {"noise": (0.0, 0.0), "flicker": 0.0, "mesh_noise": 0.0, "spike_every": 1e12}
    still_mesh, still_drain, _ = one_scan(6, **calm, kick=(0.0, 0.0))
    mesh, drain, happened = one_scan(6, **calm, kick=(0.04, 0.04))
    assert len(happened.injected) in (2, 3)
    moved = np.flatnonzero(np.abs(mesh / still_mesh - 1) > 0.01)
    assert tuple(moved) == happened.injected
    left = (drain / mesh) / (still_drain / still_mesh) - 1
    assert np.flatnonzero(np.abs(left) > 1e-9).tolist() == list(happened.injected)
    assert np.abs(left).max() < 0.02


def test_blips_are_rare_and_known_to_the_truth(riverbank):
    shifts = [shift(riverbank, seed) for seed in range(4)]
    blips = sum(len(scan.blips) for made in shifts for scan in made.truth.scans.values())
    points = sum(file.data.count(b"\n") - 13 for made in shifts for file in made.files)
    assert 0.5 < blips / points * 600 < 1.6


def test_energies_slide_slowly_over_the_day(made):
    drifts = [made.truth.scans[file.name].drift_ev for file in made.files]
    assert drifts == sorted(drifts)
    assert 0.06 < drifts[-1] < 0.11
