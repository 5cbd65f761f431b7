"""The detectors: what the specimen and the mesh give, as a current, a voltage and counts. Invented."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from edgeshift.practice.beamline import Beamline, Ring
from edgeshift.practice.dose import changed_share
from edgeshift.practice.light import Spot, electrons, glow, monitor, sagged, slid_ev, with_a_gap
from edgeshift.practice.schedule import PlannedScan

MESH_VOLT, DRAIN_AMP = 1.6, -2.0e-10
"""Readings at full beam. The drain current flows in: its sign is negative."""
READOUT_S = 0.002
"""How much longer than asked a point may take."""


@dataclass(frozen=True)
class Reading:
    """One scan as the electronics delivered it: columns (points,), and what the log adds.

    `clock_s` is the moment of reading out, since the scan's start; `injections_s` likewise.
    """

    scan: PlannedScan
    energy_ev: np.ndarray
    mesh_volt: np.ndarray
    drain_amp: np.ndarray
    counts: np.ndarray
    clock_s: np.ndarray
    dwell_s: np.ndarray
    injections_s: np.ndarray
    pressure_mbar: float
    ring_ma: float


@dataclass(frozen=True)
class Happened:
    """What befell one scan, for the truth alone: points hit by blips and by injections, drift, noise.

    `blips_ev` and `injected_ev` are the energies that the file gives at those points. `slide_ev` is what a
    trap adds to the drift, at the middle of the scan; `dose_mgy` what the spot had when
    the scan ended.
    """

    blips: tuple[int, ...]
    injected: tuple[int, ...]
    drift_ev: float
    noise: float
    slide_ev: float = 0.0
    dose_mgy: float = 0.0
    blips_ev: tuple[float, ...] = ()
    injected_ev: tuple[float, ...] = ()


def measure(
    scan: PlannedScan,
    spot: Spot,
    beamline: Beamline,
    ring: Ring,
    rng: np.random.Generator,
    chamber_mbar: float = 1.0e-7,
) -> tuple[Reading, Happened]:
    """One scan over a spot, with everything the beam and the detectors add to it."""
    points, trouble = scan.asked_ev.size, scan.conditions
    clock = _clock(scan, beamline, rng)
    read_ev = scan.asked_ev + beamline.jitter_ev * rng.standard_normal(points)
    drift_ev = beamline.drift_ev_per_h * scan.starts_s / 3600.0
    slide = slid_ev(trouble, beamline, scan.asked_ev)
    true_ev = read_ev - drift_ev - slide
    jumps = _jumps(scan, clock, beamline, ring, rng)
    power = ring.decay(beamline, scan.starts_s + clock)
    power = with_a_gap(power * (1.0 + beamline.flicker * rng.standard_normal(points)), trouble)
    noise = float(rng.uniform(*beamline.noise))
    blips, blip = _blips(points, beamline, rng)
    dose = spot.dose_mgy + 1.0e-6 * spot.gray_per_s * clock
    gone = changed_share(dose, spot.target.half_mgy)
    mesh = power * jumps.mesh * monitor(beamline, true_ev, trouble) * _white(beamline.mesh_noise, points, rng)
    wrong = sagged(spot.target, true_ev, clock, trouble) * trouble.gain * blip
    drain = power * jumps.specimen * electrons(beamline, true_ev, spot, gone, trouble)
    drain = drain * wrong * _white(noise, points, rng)
    counts_per_s = glow(beamline, true_ev, spot, gone, trouble) * trouble.busy
    dwell = np.full(points, scan.dwell_s)
    reading = Reading(
        scan=scan,
        energy_ev=read_ev,
        mesh_volt=MESH_VOLT * mesh + beamline.mesh_dark_volt,
        drain_amp=np.maximum(DRAIN_AMP * drain + beamline.drain_dark_amp, -beamline.drain_ceiling_amp),
        counts=counted(power * jumps.specimen * counts_per_s, dwell, beamline.dead_time_s, rng),
        clock_s=clock,
        dwell_s=dwell,
        injections_s=jumps.moments_s,
        pressure_mbar=chamber_mbar * float(_white(0.02, 1, rng)[0]),
        ring_ma=300.0 + 0.1 * float(rng.standard_normal()),
    )
    hit = tuple(int(point) for point in jumps.points)
    befell = Happened(
        blips,
        hit,
        drift_ev,
        noise,
        float(slide[points // 2]),
        float(dose[-1]),
        tuple(read_ev[list(blips)].tolist()),
        tuple(read_ev[list(hit)].tolist()),
    )
    return reading, befell


class Jumps(NamedTuple):
    """Injections during a scan: moments (s since its start), the points they hit, and both detectors'
    factors (points,)."""

    moments_s: np.ndarray
    points: np.ndarray
    mesh: np.ndarray
    specimen: np.ndarray


def _jumps(
    scan: PlannedScan, clock: np.ndarray, beamline: Beamline, ring: Ring, rng: np.random.Generator
) -> Jumps:
    """The ring's own injections, and a planted one that the yield sees and the mesh hardly."""
    came = ring.between(scan.starts_s, scan.starts_s + clock[-1])
    moments = ring.injections_s[came] - scan.starts_s
    hit = np.searchsorted(clock, moments)
    mesh, specimen = _kicks(ring.kicks[came], hit, clock.size, beamline, rng)
    trouble = scan.conditions
    if trouble.injection_ev is None:
        return Jumps(moments, hit, mesh, specimen)
    point = int(np.argmin(np.abs(scan.asked_ev - trouble.injection_ev)))
    mesh[point], specimen[point] = 1.0 + 0.1 * trouble.kick, 1.0 + trouble.kick
    moments = np.append(moments, clock[point] - 0.2 * scan.dwell_s)
    order = np.argsort(moments)
    return Jumps(moments[order], np.append(hit, point)[order], mesh, specimen)


def counted(
    true_per_s: np.ndarray, dwell_s: np.ndarray, dead_time_s: float, rng: np.random.Generator
) -> np.ndarray:
    """Whole counts (points,) of a counter that is blind for `dead_time_s` after each hit.

    Such a counter sees n / (1 + n·dead time) a second, and its counts scatter less than Poisson's by that
    factor squared (renewal theory; for the thousands of counts met here a Gaussian stands for them).
    """
    live = 1.0 / (1.0 + true_per_s * dead_time_s)
    mean = true_per_s * live * dwell_s
    return np.rint(np.maximum(0.0, mean + np.sqrt(mean) * live * rng.standard_normal(mean.size)))


def _white(sd: float, points: int, rng: np.random.Generator) -> np.ndarray:
    """Factors (points,) around one."""
    return 1.0 + sd * rng.standard_normal(points)


def _clock(scan: PlannedScan, beamline: Beamline, rng: np.random.Generator) -> np.ndarray:
    """Moments (points,) of reading out, s since the scan's start."""
    late = READOUT_S * np.abs(rng.standard_normal(scan.asked_ev.size))
    return np.cumsum(beamline.settle_s + scan.dwell_s + late)


def _kicks(
    kicks: np.ndarray, hit: np.ndarray, points: int, beamline: Beamline, rng: np.random.Generator
) -> tuple[np.ndarray, np.ndarray]:
    """Factors (points,) on mesh and yield at the one point that each injection touches: nearly the same."""
    mesh, specimen = np.ones(points), np.ones(points)
    mesh[hit] += kicks
    specimen[hit] += kicks * (1.0 + beamline.kick_mismatch * rng.standard_normal(kicks.size))
    return mesh, specimen


def _blips(points: int, beamline: Beamline, rng: np.random.Generator) -> tuple[tuple[int, ...], np.ndarray]:
    """Rare single false points in the yield: where, and their factors (points,)."""
    sizes = rng.uniform(*beamline.spike, size=points) * rng.choice([-1.0, 1.0], size=points)
    here = rng.random(points) < 1.0 / beamline.spike_every
    return tuple(int(point) for point in np.flatnonzero(here)), np.where(here, 1.0 + sizes, 1.0)
