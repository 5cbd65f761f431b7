"""One scan as it is searched: stretches without gaps, in order of energy, with the beam's own marks
beside."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from edgeshift.numerics.noise import neighbours_alike
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.raw_curve import raw_curve

GAP_STEPS, GAP_EV = 5.0, 4.0
"""A stretch ends where the next point is farther away than both of these."""
LEAST_POINTS = 16
DEAD_SHARE = 1e-6
"""A beam that varies by less than this share of itself is a column that nothing wrote to."""


@dataclass(frozen=True, eq=False)
class Material:
    """One scan: usable points (points,) on rising energies, and what the beam did at them (None: no live I0).

    `marks_of` are other scans of the shift whose I0 covers these energies: a monitor that stands before the
    mirrors does not know their marks, and another one may.
    """

    each: Pass
    energy_ev: np.ndarray
    value: np.ndarray
    beam: np.ndarray | None

    @property
    def key(self) -> str:
        """The scan's key."""
        return self.each.scan.key

    @property
    def specimen(self) -> str:
        """The specimen's name; empty where nobody said."""
        return self.each.scan.place.specimen or ""

    @property
    def edge(self) -> str | None:
        """The edge that the scan was made for, where one was named."""
        return self.each.scan.edge

    @cached_property
    def step_ev(self) -> float:
        """Its usual spacing."""
        return float(np.median(np.diff(self.energy_ev))) if self.energy_ev.size > 1 else float("nan")

    @cached_property
    def alike(self) -> float:
        """How much its neighbouring points are alike: 1 for white noise."""
        return neighbours_alike(self.value)

    @cached_property
    def stretches(self) -> tuple[tuple[float, float], ...]:
        """(first, last) energy of every stretch without a gap."""
        if self.energy_ev.size < 2:
            return ()
        steps = np.diff(self.energy_ev)
        ends = np.flatnonzero((steps > GAP_STEPS * self.step_ev) & (steps > GAP_EV)) + 1
        parts = np.split(self.energy_ev, ends)
        return tuple((float(part[0]), float(part[-1])) for part in parts if part.size > 1)

    def stretch_around(self, energy_ev: float) -> tuple[float, float] | None:
        """The stretch that holds this energy."""
        return next((each for each in self.stretches if each[0] <= energy_ev <= each[1]), None)


def material_of(each: Pass) -> Material:
    """The scan of one pass, made ready."""
    curve = raw_curve(each)
    good = np.isfinite(curve.value)
    energy = curve.energy_ev[good] + (each.scan.tie.shift_ev if each.scan.tie else 0.0)
    beam = each.rates["i0"][curve.rows[good]] if "i0" in each.rates else None
    if beam is not None and not _alive(beam):
        beam = None
    return Material(each, energy, curve.value[good], beam)


def beam_at(one: Material, energy_ev: np.ndarray) -> np.ndarray | None:
    """What another scan's beam did at these energies (points,), around 0; None where it does not cover
    them."""
    if one.beam is None or one.energy_ev[0] > energy_ev[0] + one.step_ev:
        return None
    if one.energy_ev[-1] < energy_ev[-1] - one.step_ev:
        return None
    beam = np.interp(energy_ev, one.energy_ev, one.beam)
    return beam / beam.mean() - 1.0


def _alive(beam: np.ndarray) -> bool:
    if beam.size < LEAST_POINTS or not np.isfinite(beam).all():
        return False
    return bool(np.std(beam) > DEAD_SHARE * abs(np.mean(beam)) > 0)
