"""What is really there: shares, features after the instrument's blurring, and what befell each scan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from edgeshift.practice.instrument import Happened
from edgeshift.practice.scenario import EdgeModel, Scenario
from edgeshift.practice.specimens import Basis, Matter, Population, basis_of, typical
from edgeshift.recipe.experiment import Feature


@dataclass(frozen=True)
class UnitTruth:
    """One unit at one edge: its shares, its feature, and the feature of each spot by (specimen, spot)."""

    unit: str
    arm: str
    shares: Mapping[str, float]
    feature: float
    spots: Mapping[tuple[str, str], float]


@dataclass(frozen=True)
class EdgeTruth:
    """One edge. `arms` holds the declared feature of each arm's own shares as this instrument sees it,
    `unblurred` the same before the instrument. Units and spots scatter around `arms`.
    """

    edge: str
    feature: Feature
    arms: Mapping[str, float]
    unblurred: Mapping[str, float]
    units: Mapping[str, UnitTruth]

    def difference(self, control: str, treated: str) -> float:
        """How far the treatment moves the feature of the whole population."""
        return self.arms[treated] - self.arms[control]


@dataclass(frozen=True)
class TrapTruth:
    """One planted trap and the files that it touches, one tuple for each thing that it plants."""

    name: str
    by_plant: tuple[tuple[str, ...], ...]

    @property
    def struck(self) -> tuple[str, ...]:
        """All of those files, each once."""
        return tuple(dict.fromkeys(name for names in self.by_plant for name in names))


@dataclass(frozen=True)
class Truth:
    """All of it; kept apart from the files. `scans` is by file name, `traps` by name, `landed_s` says when
    each file was complete (s since the day began), `places` its edge and its true specimen."""

    edges: Mapping[str, EdgeTruth]
    scans: Mapping[str, Happened]
    traps: Mapping[str, TrapTruth] = field(default_factory=dict)
    landed_s: Mapping[str, float] = field(default_factory=dict)
    places: Mapping[str, tuple[str, str]] = field(default_factory=dict)


def elements_there(scenario: Scenario) -> dict[str, tuple[str, ...]]:
    """By specimen, every element that some scan of it would show; a mount counts for what may lie on it."""
    there: dict[str, set[str]] = {}
    for block in scenario.schedule:
        model = scenario.edges[block.edge]
        for each in (model, *(scenario.edges[name] for name in model.sees)):
            for specimen in block.specimens:
                if _holds(scenario, each, specimen):
                    there.setdefault(specimen, set()).add(each.element)
    return {specimen: tuple(sorted(symbols)) for specimen, symbols in sorted(there.items())}


def _holds(scenario: Scenario, model: EdgeModel, specimen: str) -> bool:
    arm = scenario.arm_of(specimen)
    has_step = typical(scenario, model, specimen, arm, basis_of(model, 0.0)).step > 0
    return has_step and model.step_over_background > 0


def read_true(feature: Feature, energy_ev: np.ndarray, curve: np.ndarray) -> float:
    """A declared feature of a curve without noise, edge step 1, on fine even energies (points,)."""
    inside = [(energy_ev >= low - 1e-9) & (energy_ev <= high + 1e-9) for low, high in feature.windows]
    means = [float(curve[part].mean()) for part in inside]
    low, high = feature.windows[0]
    match feature.kind:
        case "ratio":
            return means[0] / means[1]
        case "height":
            return means[0]
        case "area":
            return means[0] * (high - low)
        case "centroid":
            return float(np.average(energy_ev[inside[0]], weights=curve[inside[0]]))
        case _:
            return float(energy_ev[inside[0]][np.argmax(curve[inside[0]])])


def edge_truth(scenario: Scenario, model: EdgeModel, basis: Basis, population: Population) -> EdgeTruth:
    """The truth of one edge from what was drawn, seen through `basis`."""
    feature = scenario.experiment.edge_plan(model.name).feature
    sharp = basis_of(model, 0.0)

    def through(seen: Basis, matter: Matter) -> float:
        return read_true(feature, seen.energy_ev, seen.curve(matter))

    units = {}
    for unit in scenario.experiment.units:
        matter = population.units[unit.name]
        mine = {at: m for at, m in population.spots.items() if scenario.unit_of(at[0]) == unit.name}
        if mine:
            spots = {at: through(basis, m) for at, m in mine.items()}
            units[unit.name] = UnitTruth(unit.name, unit.arm, matter.shares, through(basis, matter), spots)
    arms = [arm.name for arm in scenario.experiment.arms]
    return EdgeTruth(
        model.name,
        feature,
        {arm: through(basis, typical(scenario, model, None, arm, basis)) for arm in arms},
        {arm: through(sharp, typical(scenario, model, None, arm, sharp)) for arm in arms},
        units,
    )
