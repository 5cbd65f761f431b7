"""The three rungs of one comparison: more than repeat scans, than other spots, than other units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from edgeshift.questions.real.nest import Nest, ScanLeaf, SpotBranch
from edgeshift.questions.real.verdict import (
    CurveEvidence,
    Evidence,
    curves_between,
    curves_within,
    features_between,
    features_within,
    known_noise,
)

RUNGS = ("scans", "spots", "units")


@dataclass(frozen=True)
class Ladder:
    """Evidence for each rung, by curve and, where a feature can be read, by feature."""

    curves: dict[str, CurveEvidence]
    features: dict[str, Evidence] | None


def climb(nest: Nest, with_feature: bool) -> Ladder:
    """Both ladders. A feature that cannot be read on some kept spot leaves only the curves."""
    readable = with_feature and all(
        np.isfinite(s.feature) for _, units in nest.arms for u in units for s in u.spots
    )
    return Ladder(_by_curve(nest), _by_feature(nest) if readable else None)


def _by_curve(nest: Nest) -> dict[str, CurveEvidence]:
    control, treated = _arms(nest, _curve)
    means = np.vstack([control.mean(axis=0), treated.mean(axis=0)])

    def inside(groups: list[np.ndarray], weight: float) -> CurveEvidence:
        return curves_within(nest.energy_ev, means, groups, weight)

    scans = inside(*_scans(nest, _curve))
    if not scans.testable:
        noise = _noise(nest, lambda spot: spot.sigma)
        scans = CurveEvidence(known_noise(means[1] - means[0], noise))
    return {
        "scans": scans,
        "spots": inside(*_spots(nest, _curve)),
        "units": curves_between(nest.energy_ev, control, treated, nest.paired),
    }


def _by_feature(nest: Nest) -> dict[str, Evidence]:
    control, treated = _arms(nest, _feature)
    difference = float(treated.mean() - control.mean())
    scans = features_within(difference, *_scans(nest, _feature))
    if not scans.testable:
        noise = _noise(nest, lambda spot: np.array([spot.feature_sigma]))
        scans = known_noise(np.array([difference]), noise)
    return {
        "scans": scans,
        "spots": features_within(difference, *_spots(nest, _feature)),
        "units": features_between(control, treated, nest.paired),
    }


def _curve(leaf: SpotBranch | ScanLeaf) -> np.ndarray:
    return leaf.curve


def _feature(leaf: SpotBranch | ScanLeaf) -> float:
    return leaf.feature


def _arms(nest: Nest, of) -> tuple[np.ndarray, np.ndarray]:
    """What `of` reads, for every unit of each arm, control first."""
    control, treated = (
        np.array([u.weights @ np.array([of(s) for s in u.spots]) for u in units]) for _, units in nest.arms
    )
    return control, treated


def _spots(nest: Nest, of) -> tuple[list[np.ndarray], float]:
    """Spots by unit, and what their variance weighs in the difference."""
    groups = [np.array([of(s) for s in u.spots]) for _, units in nest.arms for u in units]
    return groups, sum(share**2 for share, _ in _shares(nest))


def _scans(nest: Nest, of) -> tuple[list[np.ndarray], float]:
    """Scans by spot, and what their variance weighs in the difference."""
    groups = [np.array([of(scan) for scan in s.scans]) for _, s in _shares(nest) if s.scans]
    return groups, sum(share**2 / len(s.spectrum.scans) for share, s in _shares(nest))


def _noise(nest: Nest, sigma_of) -> np.ndarray:
    """Standard error of the difference from the noise that each scan carries."""
    return np.sqrt(sum(share**2 * sigma_of(s) ** 2 for share, s in _shares(nest)))


def _shares(nest: Nest) -> list[tuple[float, SpotBranch]]:
    """Each spot and its share in the difference."""
    return [
        (float(weight) / len(units), spot)
        for _, units in nest.arms
        for unit in units
        for weight, spot in zip(unit.weights, unit.spots, strict=True)
    ]
