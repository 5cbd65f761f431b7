"""Kept spectra arranged as they were made: arm, unit, spot, scan, all on one grid."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, Protocol

import numpy as np

from edgeshift.numerics import features
from edgeshift.numerics.grids import bridged, common_grid, onto
from edgeshift.numerics.white_lines import ratio_of_areas_above_two_to_one_step
from edgeshift.recipe.experiment import Experiment, Feature
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.once import Once
from edgeshift.records.spectrum import Spectrum

STEP_FWHM_EV = 1.0
"""Width of the arctangents under L3 and L2 (common practice, no source)."""


class Move(NamedTuple):
    """One shared term of a spot's curve: its name, its cause, and the change of the feature."""

    name: str
    cause: str
    change: float


@dataclass(frozen=True)
class ScanLeaf:
    """One scan: its curve and independent error (points,) on the common grid, and its feature."""

    key: str
    curve: np.ndarray
    sigma: np.ndarray
    feature: float
    feature_sigma: float


@dataclass(frozen=True)
class SpotBranch:
    """One spot: the mean of its scans. `moves` say how far one s.d. of each shared term moves the feature."""

    specimen: str
    spot: str
    curve: np.ndarray
    sigma: np.ndarray
    feature: float
    feature_sigma: float
    spectrum: Spectrum
    scans: tuple[ScanLeaf, ...]
    moves: tuple[Move, ...] = ()


@dataclass(frozen=True)
class UnitBranch:
    """One unit: mean of its specimens, each the mean of its spots. `weights` (spots,) add up to one."""

    unit: str
    pair: str | None
    spots: tuple[SpotBranch, ...]
    weights: np.ndarray

    @property
    def curve(self) -> np.ndarray:
        """Mean curve (points,)."""
        return self.weights @ np.vstack([s.curve for s in self.spots])

    @property
    def feature(self) -> float:
        """Mean of the spots' features."""
        return float(self.weights @ np.array([s.feature for s in self.spots]))


@dataclass(frozen=True)
class Nest:
    """Two arms of one edge. `paired` says that units stand in the same order, pair by pair; `left_out` are
    units whose partner has no kept scan."""

    edge: str
    energy_ev: np.ndarray
    curve_unit: str
    control: str
    treated: str
    control_units: tuple[UnitBranch, ...]
    treated_units: tuple[UnitBranch, ...]
    paired: bool
    left_out: tuple[str, ...] = ()

    @property
    def arms(self) -> tuple[tuple[str, tuple[UnitBranch, ...]], ...]:
        """(arm name, its units), control first."""
        return ((self.control, self.control_units), (self.treated, self.treated_units))

    @cached_property
    def means(self) -> tuple[np.ndarray, np.ndarray]:
        """Mean curve of each arm's units (points,), control first."""
        control, treated = (np.mean([u.curve for u in units], axis=0) for _, units in self.arms)
        return control, treated

    @property
    def difference(self) -> np.ndarray:
        """Treated minus control (points,)."""
        return self.means[1] - self.means[0]


def read_feature(feature: Feature, energy: np.ndarray, value: np.ndarray) -> float:
    """The feature's number, NaN where the curve does not reach its windows."""
    reading = {
        "ratio": lambda: features.ratio(energy, value, *feature.windows),
        "height": lambda: features.mean_in(energy, value, feature.windows[0]),
        "area": lambda: features.area(energy, value, feature.windows[0]),
        "centroid": lambda: features.centroid(energy, value, feature.windows[0]),
        "position": lambda: features.position(energy, value, feature.windows[0]),
        "line-ratio": lambda: ratio_of_areas_above_two_to_one_step(
            energy, value, *feature.windows, STEP_FWHM_EV
        ),
    }[feature.kind]
    try:
        return reading()
    except ValueError:
        return float("nan")


def feature_sigma(feature: Feature, energy: np.ndarray, value: np.ndarray, sigma: np.ndarray) -> float:
    """The feature's independent error from each point's; NaN where it is no weighted mean of points."""
    try:
        if feature.kind == "ratio":
            return features.ratio_sigma(energy, value, sigma, *feature.windows)
        if feature.kind in ("height", "area"):
            width = 1.0 if feature.kind == "height" else feature.windows[0][1] - feature.windows[0][0]
            return width * features.mean_sigma(energy, sigma, feature.windows[0])
    except ValueError:
        return float("nan")
    return float("nan")


def nest(
    edge_set: EdgeSet,
    experiment: Experiment,
    arms: tuple[str, str],
    feature: Feature | None,
    once: Once,
    only: frozenset[str] | None = None,
) -> Nest | None:
    """The nest of two arms (control, treated), or None where either has no kept spot of a known unit.

    `only` narrows it to these units.
    """
    control, treated = arms
    spots = [s for s in edge_set.spots if s.place.arm in (control, treated) and s.place.unit]
    spots = spots if only is None else [s for s in spots if s.place.unit in only]
    if {s.place.arm for s in spots} != {control, treated}:
        return None
    energy = common_grid([s.energy_ev for s in spots])
    reader = _Reader(energy, feature, once)
    first, second = (_branches(spots, arm, edge_set, experiment, reader) for arm in arms)
    everyone = {u.unit for u in (*first, *second)}
    first, second, paired = by_pair(first, second)
    left_out = tuple(sorted(everyone - {u.unit for u in (*first, *second)}))
    return Nest(edge_set.edge, energy, _unit_of(spots), control, treated, first, second, paired, left_out)


class ArmMean(NamedTuple):
    """The mean curve of one arm's units (points,) on its energies (points,), in `unit`."""

    energy_ev: np.ndarray
    value: np.ndarray
    unit: str


def mean_of_arm(edge_set: EdgeSet, experiment: Experiment, arm: str, once: Once) -> ArmMean | None:
    """One arm alone, averaged as in a nest; None where nothing of it is kept."""
    spots = [s for s in edge_set.spots if s.place.arm == arm and s.place.unit]
    if not spots:
        return None
    energy = common_grid([s.energy_ev for s in spots])
    units = _branches(spots, arm, edge_set, experiment, _Reader(energy, None, once))
    return ArmMean(energy, np.mean([unit.curve for unit in units], axis=0), _unit_of(spots))


def _unit_of(spots: list[Spectrum]) -> str:
    return "step" if all(s.unit == "step" for s in spots) else spots[0].unit


def _branches(
    spots: list[Spectrum], arm: str, edge_set: EdgeSet, experiment: Experiment, reader: _Reader
) -> tuple[UnitBranch, ...]:
    """The units of an arm. Those treated together are one branch, and no partner is left for it: its pairs
    were not split before a treatment of their own."""
    pairs = {u.batch or u.name: None if u.batch else u.pair for u in experiment.units}
    counted = {u.name: u.batch or u.name for u in experiment.units}
    by_unit: dict[str, list[Spectrum]] = {}
    for spot in (s for s in spots if s.place.arm == arm):
        by_unit.setdefault(counted.get(spot.place.unit, spot.place.unit), []).append(spot)
    return tuple(
        _unit(name, pairs.get(name), mine, edge_set, reader) for name, mine in sorted(by_unit.items())
    )


class HasPair(Protocol):
    """Anything that may have been split from one thing before treating."""

    pair: str | None


def by_pair(first: tuple[HasPair, ...], second: tuple[HasPair, ...]):
    """Complete pairs in one order where every unit has a pair; otherwise all units, unpaired."""
    if not all(u.pair for u in (*first, *second)):
        return first, second, False
    of_pair = {u.pair: u for u in second}
    both = [(u, of_pair[u.pair]) for u in first if u.pair in of_pair]
    if not both:
        return first, second, False
    left, right = zip(*sorted(both, key=lambda two: two[0].pair), strict=True)
    return left, right, True


@dataclass(frozen=True)
class _Reader:
    """Reads spectra on the common energies, each only once for all who keep the memory."""

    energy_ev: np.ndarray
    feature: Feature | None
    once: Once

    def leaf(self, spectrum: Spectrum) -> tuple[np.ndarray, np.ndarray, float, float]:
        """Curve and error on the common energies, the feature and its error."""
        whole, noise, number, give_or_take = self.once(
            ("leaf", id(spectrum), self.feature), lambda: _read(spectrum, self.feature)
        )
        on_grid = (onto(self.energy_ev, spectrum.energy_ev, each) for each in (whole, noise))
        return *on_grid, number, give_or_take

    def moves(self, spectrum: Spectrum) -> tuple[Move, ...]:
        """How far each shared term moves the feature."""
        return self.once(("moves", id(spectrum), self.feature), lambda: _moves(spectrum, self.feature))


def _unit(
    name: str, pair: str | None, spots: list[Spectrum], edge_set: EdgeSet, reader: _Reader
) -> UnitBranch:
    specimens = [s.place.specimen for s in spots]
    weights = np.array([1 / (len(set(specimens)) * specimens.count(s)) for s in specimens])
    return UnitBranch(name, pair, tuple(_spot(s, edge_set, reader) for s in spots), weights)


def _spot(spectrum: Spectrum, edge_set: EdgeSet, reader: _Reader) -> SpotBranch:
    kept = [key for key in spectrum.scans if key in edge_set.scans]
    scans = tuple(ScanLeaf(key, *reader.leaf(edge_set.scans[key])) for key in kept)
    place, moves = spectrum.place, reader.moves(spectrum)
    return SpotBranch(place.specimen or "", place.spot or "", *reader.leaf(spectrum), spectrum, scans, moves)


def _moves(spectrum: Spectrum, feature: Feature | None) -> tuple[Move, ...]:
    if feature is None:
        return ()
    energy, whole = spectrum.energy_ev, bridged(spectrum.energy_ev, spectrum.value)
    here = read_feature(feature, energy, whole)
    moved = ((term, read_feature(feature, energy, whole + term.shape) - here) for term in spectrum.shared)
    return tuple(Move(term.name, term.cause, change) for term, change in moved if np.isfinite(change))


def _read(spectrum: Spectrum, feature: Feature | None) -> tuple[np.ndarray, np.ndarray, float, float]:
    whole = bridged(spectrum.energy_ev, spectrum.value)
    noise = bridged(spectrum.energy_ev, spectrum.sigma)
    if feature is None or (feature.kind == "line-ratio" and spectrum.unit != "step"):
        return whole, noise, float("nan"), float("nan")
    number = read_feature(feature, spectrum.energy_ev, whole)
    return whole, noise, number, feature_sigma(feature, spectrum.energy_ev, whole, noise)
