"""What lies under the beam: shares of components in every unit and spot, drawn around the scenario's."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from edgeshift.practice.scenario import CommonScatter, EdgeModel, Scenario
from edgeshift.practice.shapes import blurred, fine_energies, line, step
from edgeshift.recipe.experiment import Unit


@dataclass(frozen=True)
class Matter:
    """What a unit, or a spot on it, holds at one edge.

    `line_factors` (shapes of the edge,) multiply heights and are one for steps; `step` is the edge step
    in units of the scenario's own; `tilt` bends the background; `amount` scales the whole yield.
    """

    shares: Mapping[str, float]
    line_factors: np.ndarray
    step: float = 1.0
    tilt: float = 0.0
    amount: float = 1.0


@dataclass(frozen=True)
class Basis:
    """Every step and line of an edge as seen with one resolution: `table` (shapes, points)."""

    energy_ev: np.ndarray
    owners: tuple[str, ...]
    is_line: np.ndarray
    table: np.ndarray

    def curve(self, matter: Matter) -> np.ndarray:
        """Absorption of the element alone, in edge steps (points,)."""
        shares = np.array([matter.shares[owner] for owner in self.owners])
        return (shares * matter.line_factors) @ self.table


def basis_of(model: EdgeModel, fwhm_ev: float) -> Basis:
    """The shapes of an edge seen with a resolution (FWHM in eV; 0: not blurred)."""
    energy = fine_energies(model.regions[0][0], model.regions[-1][1])
    owners, is_line, rows = [], [], []
    for name, component in model.components.items():
        for draw, shapes in ((step, component.steps), (line, component.lines)):
            owners += [name] * len(shapes)
            is_line += [draw is line] * len(shapes)
            rows += [draw(energy, shape) for shape in shapes]
    return Basis(energy, tuple(owners), np.array(is_line), blurred(np.array(rows), fwhm_ev))


def typical(model: EdgeModel, arm: str, basis: Basis) -> Matter:
    """The scenario's own shares of an arm, without any scatter."""
    return Matter(_completed(model, model.shares[arm]), np.ones(basis.is_line.size))


@dataclass(frozen=True)
class Population:
    """The units of one edge by name, and the spots by (specimen, spot)."""

    units: Mapping[str, Matter]
    spots: Mapping[tuple[str, str], Matter]


def populate(scenario: Scenario, model: EdgeModel, basis: Basis, rng: np.random.Generator) -> Population:
    """Draw every unit and every spot of the schedule at one edge.

    Digs move both halves of a pair alike; units scatter on their own; spots scatter around their unit.
    """
    experiment, common = scenario.experiment, scenario.scatter
    pairs = {unit.pair for unit in experiment.units if unit.pair}
    digs = {pair: model.dig_sd * float(rng.standard_normal()) for pair in sorted(pairs)}
    units = {
        unit.name: _scattered(model, _at_dig(model, unit, digs, basis), basis, common, 1.0, rng)
        for unit in experiment.units
    }
    owner = {specimen.name: specimen.unit for specimen in experiment.specimens}
    spots = {
        place: _scattered(model, units[owner[place[0]]], basis, common, common.spot_share, rng)
        for place in _places(scenario, model.name)
    }
    return Population(units, spots)


def _places(scenario: Scenario, edge: str) -> list[tuple[str, str]]:
    blocks = [block for block in scenario.schedule if block.edge == edge]
    return sorted({(name, spot) for block in blocks for name in block.specimens for spot in block.rounds})


def _at_dig(model: EdgeModel, unit: Unit, digs: Mapping[str, float], basis: Basis) -> Matter:
    mean = typical(model, unit.arm, basis)
    return replace(mean, shares=_moved(model, mean.shares, digs.get(unit.pair, 0.0)))


def _scattered(
    model: EdgeModel,
    around: Matter,
    basis: Basis,
    common: CommonScatter,
    size: float,
    rng: np.random.Generator,
) -> Matter:
    """Something of the same kind, `size` times as scattered as one unit is around another."""
    by_share, by_step, by_tilt, by_amount = rng.standard_normal(4).tolist()
    by_line = np.where(basis.is_line, rng.standard_normal(basis.is_line.size), 0.0)
    return Matter(
        _moved(model, around.shares, size * model.unit_sd * by_share),
        around.line_factors * (1.0 + size * model.line_sd * by_line),
        around.step * max(0.3, 1.0 + size * common.step_height * by_step),
        around.tilt + size * common.tilt * by_tilt,
        around.amount * math.exp(size * common.amount * by_amount),
    )


def _moved(model: EdgeModel, shares: Mapping[str, float], by: float) -> dict[str, float]:
    """The lead's share moved and kept within 0 to 1; the others keep their proportions."""
    lead = min(1.0, max(0.0, shares[model.lead] + by))
    rest = 1.0 - shares[model.lead]
    if rest <= 0.0:
        return dict(shares)
    factor = (1.0 - lead) / rest
    return {name: lead if name == model.lead else factor * share for name, share in shares.items()}


def _completed(model: EdgeModel, shares: Mapping[str, float]) -> dict[str, float]:
    return {name: shares.get(name, 0.0) for name in model.components}
