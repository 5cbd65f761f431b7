"""The holder in the beam: every spot of every specimen, and what light meets there."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from edgeshift.practice.attenuation import alpha, of_matter, own_part
from edgeshift.practice.beamline import resolution_ev
from edgeshift.practice.dose import gray_per_s
from edgeshift.practice.light import Spot
from edgeshift.practice.scenario import EdgeModel, Material, Scenario
from edgeshift.practice.schedule import PlannedScan
from edgeshift.practice.specimens import Basis, Population, basis_of, populate
from edgeshift.practice.target import Part, Target

GLOW_BELOW = 0.15
"""Fluorescence of everything else just below an edge, beside that of the edge's usual step."""
COUNTER_FWHM_EV = 80.0
"""How well the counter tells two lines apart (invented, of the usual size)."""
ABOVE_EV, BELOW_EV = 12.0, 25.0
"""Where a specimen's attenuation is read for its own glow: beside the edge, clear of its near structure."""


@dataclass(frozen=True)
class Mounted:
    """What is mounted, edge by edge. Targets are kept: a spot is scanned more than once."""

    scenario: Scenario
    bases: dict[str, Basis]
    populations: dict[str, Population]
    _targets: dict[tuple[str, str, str], Target] = field(default_factory=dict)

    def spot_of(self, scan: PlannedScan, dose_mgy: float) -> Spot:
        """The spot of a scan, with the dose it had before (MGy)."""
        model, beamline = self.scenario.edges[scan.edge], self.scenario.beamline
        m2_per_kg = 0.1 * of_matter(self.scenario.material_of(scan.specimen).shares, model.at_ev)
        rate = gray_per_s(beamline.flux_per_s, model.at_ev, m2_per_kg, scan.beam_mm2)
        trouble = scan.conditions
        mount = self.target(scan.edge, trouble.mount, scan.spot) if trouble.mount else None
        before = dose_mgy + 1.0e-6 * rate * scan.exposed_s
        return Spot(self.target(scan.edge, scan.specimen, scan.spot), mount, before, rate)

    def target(self, edge: str, specimen: str, spot: str) -> Target:
        """What the beam meets at one spot."""
        key = edge, specimen, spot
        if key not in self._targets:
            self._targets[key] = self._target(*key)
        return self._targets[key]

    def _target(self, edge: str, specimen: str, spot: str) -> Target:
        model = self.scenario.edges[edge]
        matter, material = self.populations[edge].spot(specimen, spot), self.scenario.material_of(specimen)
        return Target(
            self._part(edge, specimen, spot),
            model.at_ev,
            matter.tilt,
            matter.amount,
            model.counts_per_s * matter.amount * GLOW_BELOW / (1.0 + GLOW_BELOW),
            tuple(self._part(other, specimen, spot, model) for other in model.sees),
            {
                order: tuple(self._part(other, specimen, spot, model) for other in self._met(model, order))
                for order, _ in self.scenario.beamline.orders
            },
            own_light(model, material),
            model.damage.half_mgy if model.damage else math.inf,
            escape_over_length(material, model.at_ev + ABOVE_EV),
        )

    def _part(self, edge: str, specimen: str, spot: str, scanned: EdgeModel | None = None) -> Part:
        """One edge of a spot; of its glow the counter takes what the edge that is scanned lets through."""
        model, basis, population = self.scenario.edges[edge], self.bases[edge], self.populations[edge]
        matter = population.spot(specimen, spot)
        harmed = population.harmed(specimen, matter)
        changed = None if harmed is None else basis.curve(harmed)
        step = model.step_over_background * matter.step
        glow = model.counts_per_s * matter.step * matter.amount / (1.0 + GLOW_BELOW)
        glow *= taken_along(scanned or model, model)
        return Part(basis.energy_ev, basis.curve(matter), step, changed, glow)

    def _met(self, model: EdgeModel, order: int) -> list[str]:
        """Edges that light of a higher order meets while this one is scanned."""
        low, high = order * model.regions[0][0], order * model.regions[-1][1]
        return [
            other.name
            for other in self.scenario.edges.values()
            if other.regions[0][0] < high and low < other.regions[-1][1] and other.step_over_background
        ]


def taken_along(scanned: EdgeModel, other: EdgeModel) -> float:
    """Share of another edge's light that the counter takes; all of what reaches it where it takes no line."""
    if scanned.emission_ev is None:
        return scanned.taken
    apart_ev = (other.at_ev if other.emission_ev is None else other.emission_ev) - scanned.emission_ev
    return scanned.taken * float(np.exp2(-((2.0 * apart_ev / COUNTER_FWHM_EV) ** 2)))


def escape_over_length(material: Material, at_ev: float) -> float:
    """How deep electrons come from over how deep light goes."""
    per_cm = material.g_per_cm3 * of_matter(material.shares, at_ev)
    return 1.0e-7 * material.escape_nm * per_cm


def own_light(model: EdgeModel, material: Material) -> float:
    """How dilute a material is to an edge's glow, 45 degrees in and out; infinite where the edge names no
    line or the material has none of the element."""
    if model.emission_ev is None or not material.shares.get(model.element):
        return math.inf
    below, above = model.at_ev - BELOW_EV, model.at_ev + ABOVE_EV
    own = own_part(material.shares, model.element, below, above)
    background = of_matter(material.shares, above) - own
    return alpha(background, of_matter(material.shares, model.emission_ev), own)


def mounted(scenario: Scenario, seed: tuple[int, ...]) -> Mounted:
    """Draw what is mounted; each edge has its own stream, so that adding one leaves the others alone."""
    bases, populations = {}, {}
    for place, (edge, model) in enumerate(scenario.edges.items()):
        bases[edge] = basis_of(model, resolution_ev(scenario.beamline, model.at_ev))
        populations[edge] = populate(scenario, model, bases[edge], (*seed, place))
    return Mounted(scenario, bases, populations)
