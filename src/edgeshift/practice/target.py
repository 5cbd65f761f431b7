"""What the beam meets at one spot: its electrons and its glow for each unit of light. Invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from edgeshift.practice.attenuation import electrons_left, seen_when_thick

BACKGROUND_POWER = -2.7
"""How everything else's absorption falls with energy. A photon frees electrons in proportion to its energy,
so their number falls by one power less."""


@dataclass(frozen=True)
class Part:
    """One edge of one specimen: absorption in edge steps (points,) on `energy_ev`, and the size of its step
    over the background. `changed` is what the beam makes of it in the end, `glow` the counts a second that
    one edge step of it gives."""

    energy_ev: np.ndarray
    absorption: np.ndarray
    step: float
    changed: np.ndarray | None = None
    glow: float = 0.0

    def at(self, energy_ev: np.ndarray, gone: np.ndarray | float = 0.0) -> np.ndarray:
        """Absorption (points,) in edge steps, with a share `gone` of the change done."""
        fresh = np.interp(energy_ev, self.energy_ev, self.absorption)
        if self.changed is None:
            return fresh
        return fresh + gone * (np.interp(energy_ev, self.energy_ev, self.changed) - fresh)


@dataclass(frozen=True)
class Target:
    """The edge that is scanned, with all that surrounds it.

    `glow_below` is the fluorescence of everything else just below the edge, counts a second. `sees` are
    other edges inside the scan's range; `orders` those that light of n times the energy meets. `alpha` says
    how dilute the specimen is to its own glow (infinite: a thin one), `escape` how deep electrons come from
    over how deep light goes just above the edge, `half_mgy` the dose of half a change.
    """

    own: Part
    at_ev: float
    tilt: float
    amount: float
    glow_below: float
    sees: tuple[Part, ...] = ()
    orders: Mapping[int, tuple[Part, ...]] = field(default_factory=dict)
    alpha: float = float("inf")
    half_mgy: float = float("inf")
    escape: float = 0.0
    incidence_deg: float = 45.0

    def yield_at(self, energy_ev: np.ndarray, gone: np.ndarray | float = 0.0) -> np.ndarray:
        """Electrons for each unit of light (points,): background, one just below the edge, plus elements."""
        background = self._background(energy_ev)
        others = sum((part.step * part.at(energy_ev) for part in self.sees), np.zeros(energy_ev.size))
        absorbed = background * (1.0 + others) + self.own.step * self.own.at(energy_ev, gone)
        return self.amount * absorbed * self._pressed(absorbed / (1.0 + self.own.step))

    def order_yield_at(self, energy_ev: np.ndarray, order: int) -> np.ndarray:
        """The same (points,) for light of `order` times the energy that the scale says."""
        fallen = order ** (BACKGROUND_POWER + 1.0) * self._background(energy_ev)
        there = sum((part.step * part.at(order * energy_ev) for part in self._met(order)), 0.0)
        return self.amount * fallen * (1.0 + self.own.step + there)

    def strength_at(self, energy_ev: np.ndarray) -> np.ndarray:
        """How much more than just above the edge is absorbed (points,): one there."""
        return self.yield_at(energy_ev) / (self.amount * (1.0 + self.own.step))

    def fluorescence_at(self, energy_ev: np.ndarray, gone: np.ndarray | float = 0.0) -> np.ndarray:
        """Fluorescence (points,) that reaches the counter, in counts a second for each unit of light."""
        true = self.own.at(energy_ev, gone)
        seen = true if np.isinf(self.alpha) else seen_when_thick(true, self.alpha)
        others = sum((part.glow * part.at(energy_ev) for part in self.sees), 0.0)
        return self.glow_below + self.own.glow * seen + others

    def order_fluorescence_at(self, energy_ev: np.ndarray, order: int) -> np.ndarray:
        """The same (points,) for light of `order` times the energy that the scale says."""
        usual = order**BACKGROUND_POWER * (self.glow_below + self.own.glow)
        there = sum((part.glow * part.at(order * energy_ev) for part in self._met(order)), 0.0)
        return usual + there * np.ones(energy_ev.size)

    def _met(self, order: int) -> tuple[Part, ...]:
        return self.orders.get(order, ())

    def _pressed(self, strength: np.ndarray) -> np.ndarray:
        """Factors (points,) by which strong absorption loses against that just above the edge."""
        usual = electrons_left(self.escape, self.incidence_deg)
        return electrons_left(self.escape * strength, self.incidence_deg) / usual

    def _background(self, energy_ev: np.ndarray) -> np.ndarray:
        along = (energy_ev - self.at_ev) / np.ptp(energy_ev)
        return (energy_ev / self.at_ev) ** (BACKGROUND_POWER + 1.0) * (1.0 + self.tilt * along)
