"""What lies under the beam: shares of components in every unit and spot, drawn around the scenario's."""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

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


def typical(scenario: Scenario, model: EdgeModel, who: str | None, arm: str | None, basis: Basis) -> Matter:
    """The scenario's own shares of a specimen or an arm, without any scatter; without shares: nothing."""
    shares = scenario.said_of(model.shares, who, arm)
    level = scenario.said_of(model.levels, who, arm)
    step_ = 1.0 if level is None else level
    if shares is None:
        shares, step_ = {model.lead: 1.0}, 0.0
    return Matter(_completed(model, shares), np.ones(basis.is_line.size), step_)


@dataclass(frozen=True)
class Population:
    """All units and spots of one edge, each drawn from a stream of its own: adding one moves no other.

    Digs move both halves of a pair alike; units scatter on their own; spots scatter around their unit.
    """

    scenario: Scenario
    model: EdgeModel
    basis: Basis
    seed: tuple[int, ...]

    @cached_property
    def units(self) -> Mapping[str, Matter]:
        """Every unit by name."""
        return {unit.name: self._unit(unit) for unit in self.scenario.experiment.units}

    @cached_property
    def spots(self) -> Mapping[tuple[str, str], Matter]:
        """Every spot of the schedule at this edge, by (specimen, spot)."""
        return {place: self.spot(*place) for place in _places(self.scenario, self.model.name)}

    def spot(self, specimen: str, spot: str) -> Matter:
        """What one spot holds, whether this edge is scanned there or not."""
        common, amount = self.scenario.scatter, self.scenario.amounts.get(specimen, 1.0)
        rng = self._stream("spot", specimen, spot)
        drawn = _scattered(self.model, self._around(specimen), self.basis, common, common.spot_share, rng)
        return replace(drawn, amount=amount * drawn.amount)

    def _around(self, specimen: str) -> Matter:
        """What a spot scatters around: the specimen's own shares where it has some, else its unit's."""
        unit, arm = self.scenario.unit_of(specimen), self.scenario.arm_of(specimen)
        own = typical(self.scenario, self.model, specimen, arm, self.basis)
        if unit is None or specimen in self.model.shares:
            return own
        usual = typical(self.scenario, self.model, None, arm, self.basis).step
        return replace(self.units[unit], step=self.units[unit].step * own.step / usual if usual else own.step)

    def harmed(self, specimen: str, matter: Matter) -> Matter | None:
        """The same spot after more dose than anything survives; None where the beam does nothing to it."""
        damage, arm = self.model.damage, self.scenario.arm_of(specimen)
        names = {specimen, arm, self.scenario.like.get(specimen), self.scenario.like.get(arm or "")}
        if damage is None or not names & set(damage.of):
            return None
        return replace(matter, shares=_moved(self.model, matter.shares, damage.by))

    def _unit(self, unit: Unit) -> Matter:
        mean = typical(self.scenario, self.model, None, unit.arm, self.basis)
        if unit.pair:
            by = self.model.dig_sd * float(self._stream("dig", unit.pair).standard_normal())
            mean = replace(mean, shares=_moved(self.model, mean.shares, by))
        rng = self._stream("unit", unit.batch or unit.name)  # what was treated together scatters together
        return _scattered(self.model, mean, self.basis, self.scenario.scatter, 1.0, rng)

    def _stream(self, *names: str) -> np.random.Generator:
        return np.random.default_rng([*self.seed, zlib.crc32("/".join(names).encode())])


def populate(scenario: Scenario, model: EdgeModel, basis: Basis, seed: tuple[int, ...]) -> Population:
    """The units and spots at one edge; the same seed gives the same ones."""
    return Population(scenario, model, basis, seed)


def _places(scenario: Scenario, edge: str) -> list[tuple[str, str]]:
    blocks = [block for block in scenario.schedule if block.edge == edge and not block.only_with]
    return sorted({(name, spot) for block in blocks for name in block.specimens for spot in block.rounds})


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
