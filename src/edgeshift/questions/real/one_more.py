"""What one more scan on every spot, spot on every unit, or unit in each arm would do to the give-or-take."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.scatter_shares import (
    Counts,
    Shares,
    counts,
    fit,
    half_a_round,
    one_more_scan,
    one_more_spot,
    one_more_unit,
)
from edgeshift.numerics.scatter_shares import Nest as Labels
from edgeshift.questions.real.nest import Nest, SpotBranch
from edgeshift.records.answer import Fact
from edgeshift.wording import one_more as words

ACTS = {"scan": one_more_scan, "spot": one_more_spot, "unit": one_more_unit}
HALF = "half-spot"
"""One more spot on half of each arm's units: what fits where a whole round does not."""
MOST_ENERGIES = 50
"""Curves are thinned to at most so many: the likelihood is an average over energies, and those between
neighbours add time and no news."""


class OneMore(NamedTuple):
    """An act, and the half-width then / now: a range and its middle.

    `reason` is empty where a number is told. Elsewhere it says why not, `middle` is None, and the range is
    None too where nothing at all could be fitted. `shares` are the likeliest of units, spots and scans in the
    variance, with the number for a spot alone: where that is not told, neither are they.
    """

    act: str
    middle: float | None
    low: float | None
    high: float | None
    reason: str
    shares: tuple[float, float, float] | None = None


def one_more(nest: Nest, by_feature: bool) -> tuple[OneMore, ...]:
    """Every act, and HALF last, weighed on all kept scans by what is judged: the feature, else whole curves.

    A feature is told by its own scatter: a ratio takes away much of what its curves differ by.
    """
    if min(len(units) for _, units in nest.arms) < 2:
        return _none("one-unit")
    values = _values(nest, by_feature)
    if values is None:
        return _none("unreadable")
    labels = _labels(nest)
    try:
        shares = fit(values, labels)
    except ValueError:  # the labels are sound and the numbers finite, so no repeat differs from another
        return _none("identical")
    now, uneven = counts(labels), _uneven(nest)
    then = {act: more(now) for act, more in ACTS.items()} | {HALF: half_a_round(now, labels.arm_of_unit)}
    return tuple(_weighed(act, shares, (now, new), uneven and act != "unit") for act, new in then.items())


def one_more_facts(detail: Mapping) -> tuple[Fact, ...]:
    """The same as reasons, from an answer's detail; a range stands in words, so there is no other number."""
    return tuple(Fact(f"one-more-{each['act']}", words.fact(each, detail)) for each in detail["one_more"])


def _weighed(act: str, shares: Shares, change: tuple[Counts, Counts], uneven: bool) -> OneMore:
    if uneven:
        return OneMore(act, None, None, None, "uneven")
    found = shares.ratio(*change)
    middle, low, high = (float(number**0.5) for number in found[:3])
    told = act == "spot" and not found.reason
    likeliest = tuple(map(float, shares.likeliest)) if told else None
    return OneMore(act, None if found.reason else middle, low, high, found.reason, likeliest)


def _none(reason: str) -> tuple[OneMore, ...]:
    return tuple(OneMore(act, None, None, None, reason) for act in (*ACTS, HALF))


def _spots(nest: Nest) -> list[SpotBranch]:
    return [spot for _, units in nest.arms for unit in units for spot in unit.spots]


def _values(nest: Nest, by_feature: bool) -> np.ndarray | None:
    """What is judged, of every kept scan (scans, points), without what some scan has no number for.

    None where nothing is left, or where a scan of some spot cannot be shown alone in the spot's unit.
    """
    if any(len(spot.scans) < len(spot.spectrum.scans) for spot in _spots(nest)):
        return None
    scans = [scan for spot in _spots(nest) for scan in spot.scans]
    if by_feature:
        rows = np.array([[scan.feature] for scan in scans])
    else:
        stride = -(-len(nest.energy_ev) // MOST_ENERGIES)
        rows = np.vstack([scan.curve[::stride] for scan in scans])
    there = np.all(np.isfinite(rows), axis=0)
    return rows[:, there] if there.any() else None


def _labels(nest: Nest) -> Labels:
    units = [unit for _, side in nest.arms for unit in side]
    sizes = [len(side) for _, side in nest.arms]
    spots = _spots(nest)
    return Labels(
        np.repeat(np.arange(len(spots)), [len(spot.scans) for spot in spots]),
        np.repeat(np.arange(len(units)), [len(unit.spots) for unit in units]),
        np.repeat([0, 1], sizes),
        np.tile(np.arange(sizes[0]), 2) if nest.paired else None,
    )


def _uneven(nest: Nest) -> bool:
    """Whether some unit's spots weigh differently: it is a mean of specimens, each a mean of its spots."""
    return any(np.ptp(unit.weights) > 1e-9 for _, units in nest.arms for unit in units)
