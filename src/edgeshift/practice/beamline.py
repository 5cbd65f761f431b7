"""The practice beamline's light: its resolution, its marks on the beam, the ring's rhythm. Invented."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np


class Dip(NamedTuple):
    """Light that a film on the mirrors takes: where, how wide (FWHM), which share at its deepest."""

    at_ev: float
    width_ev: float
    depth: float


@dataclass(frozen=True)
class Beamline:
    """Every number of the instrument. None of it describes a real beamline.

    `resolving_power` is (eV, E/ΔE) to be joined by straight lines. `mesh_share` of each dip comes back as
    the mesh's own peak, `mesh_power` is how its yield goes with energy. `flicker` is common to all
    detectors, `noise` the range of a scan's white noise in the yield, relative. `kick` is the range of the
    one-point jump when electrons are added and `kick_mismatch` how differently two detectors see it;
    `spike` is the range of a blip's size, one in `spike_every` points. `..._dark_...` is what a detector
    reads with the shutter closed. `orders` are (n, share): light of n times the energy that comes along as
    long as the scale reads less than `orders_until_ev`; the share is of a clean mesh's current. Above
    `drain_ceiling_amp` the electrometer says no more. `lines_per_mm` and `included_deg` are the grating's.
    """

    resolving_power: tuple[tuple[float, float], ...] = ((500.0, 3000.0), (1560.0, 2000.0), (1850.0, 1700.0))
    dips: tuple[Dip, ...] = (
        Dip(285.2, 1.6, 0.15),  # carbon: a sharp line before a broad hump
        Dip(288.5, 5.0, 0.30),
        Dip(538.0, 12.0, 0.08),  # oxygen
        Dip(575.0, 1.4, 0.05),  # chromium, twice two lines
        Dip(577.0, 1.4, 0.05),
        Dip(584.0, 1.6, 0.05),
        Dip(586.0, 1.6, 0.05),
        Dip(690.0, 3.0, 0.01),  # fluorine
    )
    mesh_share: float = 0.5
    mesh_power: float = -1.7
    mesh_noise: float = 0.0003
    injection_every_s: float = 120.0
    kick: tuple[float, float] = (-0.03, 0.05)
    kick_mismatch: float = 0.1
    decay_per_min: float = 0.0005
    flicker: float = 0.002
    jitter_ev: float = 0.004
    drift_ev_per_h: float = 0.02
    noise: tuple[float, float] = (0.004, 0.008)
    spike_every: float = 600.0
    spike: tuple[float, float] = (0.05, 0.20)
    dead_time_s: float = 1.6e-6
    mesh_dark_volt: float = 0.012
    drain_dark_amp: float = 1.5e-12
    settle_s: float = 0.5
    move_s: tuple[float, float] = (60.0, 120.0)
    edge_change_s: tuple[float, float] = (60.0, 180.0)
    orders: tuple[tuple[int, float], ...] = ((2, 0.03), (3, 0.01))
    orders_until_ev: float = 800.0
    drain_ceiling_amp: float = 2.0e-9
    lines_per_mm: float = 600.0
    included_deg: float = 176.0
    flux_per_s: float = 1.0e11


def resolution_ev(beamline: Beamline, at_ev: float) -> float:
    """FWHM of the light at an energy, eV."""
    energies, powers = zip(*beamline.resolving_power, strict=True)
    return at_ev / float(np.interp(at_ev, energies, powers))


def flux(beamline: Beamline, energy_ev: np.ndarray) -> np.ndarray:
    """Light that reaches the specimen (points,), near one, with the dips that the mirrors leave."""
    return _smooth(energy_ev) * np.prod([1.0 - each for each in _bands(beamline, energy_ev)], axis=0)


def _smooth(energy_ev: np.ndarray) -> np.ndarray:
    """Light without marks (points,); a floor keeps plans beyond the usual range of energies alive."""
    light = 1.3 * np.exp(-0.5 * np.log(energy_ev / 800.0) ** 2) - 0.1 * (energy_ev / 1000.0 - 1.0) ** 2
    return np.maximum(light, 0.2)


def order_light(beamline: Beamline, energy_ev: np.ndarray) -> dict[int, np.ndarray]:
    """Order -> light of so many times the energy (points,), with the dips at its own energy.

    It fades over 5 % of the energy at its end. A clean mesh answers it with its share of the current, so the
    light itself is stronger by as much as the mesh's yield is lower there.
    """
    until = beamline.orders_until_ev
    fade = np.clip((1.05 * until - energy_ev) / (0.05 * until), 0.0, 1.0)
    found = {}
    for order, share in beamline.orders:
        marks = np.prod([1.0 - each for each in _bands(beamline, order * energy_ev)], axis=0)
        found[order] = share * order**-beamline.mesh_power * fade * _smooth(energy_ev) * marks
    return found


def mesh_yield(beamline: Beamline, energy_ev: np.ndarray) -> np.ndarray:
    """Yield of the I0 mesh for each unit of light (points,): dirty too, it gives peaks where the dips are.

    Like everything it absorbs less at higher energies, so dividing by it levels most of a background.
    """
    dirt = beamline.mesh_share * np.sum(_bands(beamline, energy_ev), axis=0)
    return (np.maximum(energy_ev, 200.0) / 700.0) ** beamline.mesh_power * (1.0 + dirt)


def _bands(beamline: Beamline, energy_ev: np.ndarray) -> list[np.ndarray]:
    return [
        dip.depth * np.exp2(-((2.0 * (energy_ev - dip.at_ev) / dip.width_ev) ** 2)) for dip in beamline.dips
    ]


@dataclass(frozen=True)
class Ring:
    """The ring over the day: when electrons come in (s since the day began) and how the beam jumps then."""

    injections_s: np.ndarray
    kicks: np.ndarray

    def between(self, from_s: float, to_s: float) -> np.ndarray:
        """Numbers of the injections in [from, to)."""
        return np.flatnonzero((self.injections_s >= from_s) & (self.injections_s < to_s))

    def decay(self, beamline: Beamline, at_s: np.ndarray) -> np.ndarray:
        """Share of the full beam at each moment (points,): falling slowly until the next injection."""
        last = np.searchsorted(self.injections_s, at_s, side="right") - 1
        since_min = (at_s - self.injections_s[last]) / 60.0
        return 1.0 - beamline.decay_per_min * since_min


def ring_for(beamline: Beamline, until_s: float, rng: np.random.Generator) -> Ring:
    """A day of injections; the first one lies before the day begins."""
    first = -beamline.injection_every_s * rng.uniform(0.05, 1.0)
    times = np.arange(first, until_s + beamline.injection_every_s, beamline.injection_every_s)
    return Ring(times, rng.uniform(*beamline.kick, size=times.size))
