"""The detectors: what the specimen and the mesh give, as a current, a voltage and counts. Invented."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from edgeshift.practice.beamline import Beamline, Ring, flux, mesh_yield
from edgeshift.practice.schedule import PlannedScan

MESH_VOLT, DRAIN_AMP = 1.6, -2.0e-10
"""Readings at full beam. The drain current flows in: its sign is negative."""
BACKGROUND_POWER = -2.7
"""How everything else's absorption falls with energy."""
READOUT_S = 0.002
"""How much longer than asked a point may take."""


@dataclass(frozen=True)
class Target:
    """What the beam meets: absorption in edge steps (points,) on `energy_ev`, with all that surrounds it."""

    energy_ev: np.ndarray
    absorption: np.ndarray
    at_ev: float
    step_over_background: float
    tilt: float
    amount: float
    counts_per_s: float

    def yield_at(self, energy_ev: np.ndarray) -> np.ndarray:
        """Electrons for each unit of light (points,): background, one just below the edge, plus element."""
        along = (energy_ev - self.at_ev) / np.ptp(energy_ev)
        background = (energy_ev / self.at_ev) ** BACKGROUND_POWER * (1.0 + self.tilt * along)
        return self.amount * (background + self.step_over_background * self.element_at(energy_ev))

    def fluorescence_at(self, energy_ev: np.ndarray) -> np.ndarray:
        """True fluorescence (points,) in counts a second for each unit of light."""
        return self.counts_per_s * (0.15 + self.element_at(energy_ev)) / 1.15

    def element_at(self, energy_ev: np.ndarray) -> np.ndarray:
        """The element's own absorption (points,), edge step 1."""
        return np.interp(energy_ev, self.energy_ev, self.absorption)


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
    """What befell one scan, for the truth alone: points hit by blips and by injections, drift, noise."""

    blips: tuple[int, ...]
    injected: tuple[int, ...]
    drift_ev: float
    noise: float


def measure(
    scan: PlannedScan, target: Target, beamline: Beamline, ring: Ring, rng: np.random.Generator
) -> tuple[Reading, Happened]:
    """One scan over a target, with everything the beam and the detectors add to it."""
    points = scan.asked_ev.size
    clock = _clock(scan, beamline, rng)
    read_ev = scan.asked_ev + beamline.jitter_ev * rng.standard_normal(points)
    drift_ev = beamline.drift_ev_per_h * scan.starts_s / 3600.0
    true_ev = read_ev - drift_ev
    came = ring.between(scan.starts_s, scan.starts_s + clock[-1])
    moments = ring.injections_s[came] - scan.starts_s
    hit = np.searchsorted(clock, moments)
    mesh_kick, yield_kick = _kicks(ring.kicks[came], hit, points, beamline, rng)
    light = flux(beamline, true_ev) * ring.decay(beamline, scan.starts_s + clock)
    light = light * (1.0 + beamline.flicker * rng.standard_normal(points))
    noise = float(rng.uniform(*beamline.noise))
    blips, blip = _blips(points, beamline, rng)
    on_mesh = mesh_kick * mesh_yield(beamline, true_ev) * _white(beamline.mesh_noise, points, rng)
    on_specimen = yield_kick * target.yield_at(true_ev) * _white(noise, points, rng) * blip
    dwell = np.full(points, scan.dwell_s)
    fluorescence = light * yield_kick * target.fluorescence_at(true_ev)
    reading = Reading(
        scan=scan,
        energy_ev=read_ev,
        mesh_volt=MESH_VOLT * light * on_mesh + beamline.mesh_dark_volt,
        drain_amp=DRAIN_AMP * light * on_specimen + beamline.drain_dark_amp,
        counts=counted(fluorescence, dwell, beamline.dead_time_s, rng),
        clock_s=clock,
        dwell_s=dwell,
        injections_s=moments,
        pressure_mbar=4.0e-7 / (1.0 + scan.starts_s / 7200.0) * float(_white(0.02, 1, rng)[0]),
        ring_ma=300.0 + 0.1 * float(rng.standard_normal()),
    )
    return reading, Happened(blips, tuple(int(point) for point in hit), drift_ev, noise)


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
