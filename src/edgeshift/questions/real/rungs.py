"""The three rungs of one comparison: more than repeat scans, than other spots, than other units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from edgeshift.questions.real.nest import Nest, SpotBranch, UnitBranch
from edgeshift.questions.real.verdict import Evidence, between_units, known_noise, within_units

RUNGS = ("scans", "spots", "units")


@dataclass(frozen=True)
class Ladder:
    """Evidence for each rung, by curve and, where a feature can be read, by feature."""

    curves: dict[str, Evidence]
    features: dict[str, Evidence] | None

    @property
    def judged(self) -> dict[str, Evidence]:
        """What the rungs are judged by: the feature where there is one, else the whole curve."""
        return self.features or self.curves


def climb(nest: Nest, with_feature: bool) -> Ladder:
    """Both ladders. A feature that cannot be read on some kept spot leaves only the curves."""
    curves = _ladder(nest, lambda leaf: leaf.curve, lambda leaf: leaf.sigma)
    readable = with_feature and all(
        np.isfinite(s.feature) for _, units in nest.arms for u in units for s in u.spots
    )
    features = _feature_ladder(nest) if readable else None
    return Ladder(curves, features)


def _feature_ladder(nest: Nest) -> dict[str, Evidence]:
    return _ladder(nest, lambda leaf: np.array([leaf.feature]), lambda leaf: np.array([leaf.feature_sigma]))


def _ladder(nest: Nest, of, noise_of) -> dict[str, Evidence]:
    control, treated = (np.vstack([_unit_value(u, of) for u in units]) for _, units in nest.arms)
    difference = treated.mean(axis=0) - control.mean(axis=0)
    return {
        "scans": _scan_rung(nest, difference, of, noise_of),
        "spots": within_units(
            difference,
            [np.vstack([of(s) for s in u.spots]) for _, units in nest.arms for u in units],
            _weight(nest, lambda spot: 1.0),
        ),
        "units": between_units(control, treated, nest.paired),
    }


def _unit_value(unit: UnitBranch, of) -> np.ndarray:
    return unit.weights @ np.vstack([of(s) for s in unit.spots])


def _scan_rung(nest: Nest, difference: np.ndarray, of, noise_of) -> Evidence:
    """Scatter of repeats on one spot; where no spot was repeated, the noise that each scan carries."""
    repeats = within_units(
        difference,
        [np.vstack([of(scan) for scan in s.scans]) for _, _, s in _shares(nest) if s.scans],
        _weight(nest, lambda spot: 1.0 / len(spot.spectrum.scans)),
    )
    if repeats.testable:
        return repeats
    variance = sum(share**2 * noise_of(s) ** 2 for share, _, s in _shares(nest))
    return known_noise(difference, np.sqrt(variance))


def _shares(nest: Nest) -> list[tuple[float, UnitBranch, SpotBranch]]:
    """Each spot's share in the difference, with its unit."""
    return [
        (float(weight) / len(units), unit, spot)
        for _, units in nest.arms
        for unit in units
        for weight, spot in zip(unit.weights, unit.spots, strict=True)
    ]


def _weight(nest: Nest, variance_of) -> float:
    """Variance of the difference, where one repeat has variance one."""
    return float(sum(share**2 * variance_of(spot) for share, _, spot in _shares(nest)))
