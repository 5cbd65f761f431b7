"""Between the ring and the detectors: what trouble makes of the scale, the light, the mesh and the yield."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from edgeshift.practice.beamline import Beamline, flux, mesh_yield, order_light
from edgeshift.practice.conditions import Conditions
from edgeshift.practice.grating import slip_ev
from edgeshift.practice.target import Target


@dataclass(frozen=True)
class Spot:
    """Where the beam lies: the target, what is beside it, the dose so far (MGy) and its rate (Gy/s)."""

    target: Target
    mount: Target | None = None
    dose_mgy: float = 0.0
    gray_per_s: float = 0.0


def slid_ev(trouble: Conditions, beamline: Beamline, energy_ev: np.ndarray) -> np.ndarray:
    """How much higher the scale reads (points,), eV."""
    if not trouble.slip_deg:
        return np.full(energy_ev.size, trouble.slide_ev)
    grating = beamline.lines_per_mm, beamline.included_deg
    return trouble.slide_ev + np.array([slip_ev(trouble.slip_deg, float(at), *grating) for at in energy_ev])


def with_a_gap(power: np.ndarray, trouble: Conditions) -> np.ndarray:
    """Light (points,) without what was lost: a ten-thousandth still scatters in."""
    if trouble.lost is None:
        return power
    along = np.arange(power.size) / power.size
    return np.where((along >= trouble.lost[0]) & (along < trouble.lost[1]), 1.0e-4 * power, power)


def monitor(beamline: Beamline, true_ev: np.ndarray, trouble: Conditions) -> np.ndarray:
    """What the monitor gives (points,) for full power; before the mirrors it knows nothing of their marks."""
    if trouble.upstream:
        return np.full(true_ev.size, float(np.mean(flux(beamline, true_ev))))
    seen = flux(beamline, true_ev) * mesh_yield(beamline, true_ev)
    for order, light in order_light(beamline, true_ev).items():
        seen = seen + light * mesh_yield(beamline, order * true_ev)
    return seen


def electrons(beamline: Beamline, true_ev: np.ndarray, spot: Spot, gone, trouble: Conditions) -> np.ndarray:
    """What specimen and mount give (points,) for full power."""
    total = np.zeros(true_ev.size)
    for share, target, done in _lit(spot, gone, trouble):
        total += share * flux(beamline, true_ev) * target.yield_at(true_ev, done)
        for order, light in order_light(beamline, true_ev).items():
            total += share * light * target.order_yield_at(true_ev, order)
    return total


def glow(beamline: Beamline, true_ev: np.ndarray, spot: Spot, gone, trouble: Conditions) -> np.ndarray:
    """Fluorescence of specimen and mount (points,) for full power, counts a second."""
    total = np.zeros(true_ev.size)
    for share, target, done in _lit(spot, gone, trouble):
        total += share * flux(beamline, true_ev) * target.fluorescence_at(true_ev, done)
        for order, light in order_light(beamline, true_ev).items():
            total += share * light * target.order_fluorescence_at(true_ev, order)
    return total


def _lit(spot: Spot, gone, trouble: Conditions) -> list[tuple]:
    """What the beam meets: (share of the light, target, share of its change that is done)."""
    parts = [(trouble.on, spot.target, gone)]
    return parts if spot.mount is None else [*parts, (1.0 - trouble.on, spot.mount, 0.0)]


def sagged(target: Target, true_ev: np.ndarray, clock: np.ndarray, trouble: Conditions) -> np.ndarray:
    """Factors (points,) on the electrons of a specimen that charges: most where it absorbs most."""
    if not trouble.sag:
        return np.ones(clock.size)
    depth = np.minimum(0.9, trouble.sag * target.strength_at(true_ev))
    return 1.0 + depth * np.expm1(-clock / trouble.sag_s)
