"""What the load is likely to be doing: normal, wet, polymer or pores, a leak, a leak of trapped gas."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.pumping import Rise, Shapes

LIKE_DRY, LIKE_WET, WETTER = 0.4, 0.5, 4.0
"""A load's fast gas over that of a dry load of this lock: how far it scatters (of the logarithm) where it is
dry or wet, and how many times as much a wet load gives."""
LITTLE_SLOW, LITTLE_FLOOR = 0.12, 0.05
"""Shares of slow gas and of a floor that any load may have (means of an exponential)."""
MUST_FALL = 0.87
"""Between two isolations even the slowest outgassing, by the root of time, must have fallen to this share;
sooner a leak and outgassing look alike."""


TIRES = 0.9
"""Below this share of the rise that a steady leak would still give, what flattens out is trapped gas."""


class TimedRise(NamedTuple):
    """A rise with the pump shut off, and when (minutes of the log's clock)."""

    at_min: float
    rise: Rise


class Cause(NamedTuple):
    """A closed code, how much of all that fits speaks for each kind of load, and what isolations say."""

    code: str
    shares: dict[str, float]
    rises: str


def rises(isolations: Sequence[TimedRise], before_min: float) -> str:
    """What the first and the last isolation say together: `same`, `less` or `unclear`.

    `none` and `one` where there are not two, `soon` where outgassing had no time to tire; `before_min` are
    minutes of pumping before the log's minute 0.
    """
    if len(isolations) < 2:
        return "one" if isolations else "none"
    slowest = math.sqrt((isolations[0].at_min + before_min) / (isolations[-1].at_min + before_min))
    if slowest > MUST_FALL:
        return "soon"
    ratio, give = _second_over_first(isolations)
    if ratio >= (1 + slowest) / 2 and ratio - give > slowest:
        return "same"
    return "less" if ratio + give < slowest else "unclear"


def _second_over_first(isolations: Sequence[TimedRise]) -> tuple[float, float]:
    """The last rise over the first, and twice its sigma; a first one that is none tells nothing."""
    first, last = isolations[0].rise, isolations[-1].rise
    if first.mbar_per_s <= 0:
        return math.nan, math.nan
    ratio = last.mbar_per_s / first.mbar_per_s
    return ratio, 2 * math.hypot(last.sigma, ratio * first.sigma) / first.mbar_per_s


def _tires(shapes: Shapes, isolations: Sequence[TimedRise]) -> bool:
    """Whether what flattens out gives less and less all the same: a leak from outside keeps its rate.

    With a steady leak the rise would go down no more than the pressure that the shapes trace.
    """
    times = np.array([isolations[0].at_min, isolations[-1].at_min]) - shapes.now
    ago = np.log(np.maximum(shapes.lasted[:, None] + times, 1e-3) / shapes.lasted[:, None])
    traced = np.exp(shapes.fall(ago))
    ratio, give = _second_over_first(isolations)
    return ratio + give < TIRES * shapes.mean(traced[:, 1] / traced[:, 0])


def judged(
    shapes: Shapes, limit_mbar: float, dry_min: float | None, isolations: Sequence[TimedRise] = ()
) -> tuple[Cause, Shapes]:
    """The likely cause, and the shapes weighed anew by what each kind of load would look like.

    `dry_min` is in how many minutes a dry load reached `limit_mbar` in this lock; without it wet and normal
    cannot be told apart. Two isolations some time apart settle what a floor is.
    """
    told = rises(isolations, shapes.mean(shapes.before) - shapes.first)
    fits = _fits(shapes, limit_mbar, dry_min)
    whole = shapes.weight * sum(fits.values())
    again = shapes._replace(weight=whole / whole.sum()) if whole.sum() > 0 else shapes
    shares = {code: shapes.mean(each) for code, each in fits.items()}
    total = sum(shares.values()) or 1.0
    shares = {code: share / total for code, share in shares.items()}
    code = max(shares, key=shares.get)
    if told == "same":
        code = "leak"
    elif code == "leak" and told in ("less", "unclear") and _tires(shapes, isolations):
        code = "virtual-leak"
    return Cause(code, shares, told), again


def _fits(shapes: Shapes, limit_mbar: float, dry_min: float | None) -> dict[str, np.ndarray]:
    """How well each shape fits each kind of load (shapes,)."""
    little_slow = np.exp(-shapes.slow / LITTLE_SLOW) / LITTLE_SLOW
    little_floor = np.exp(-shapes.floor / LITTLE_FLOOR) / LITTLE_FLOOR
    if dry_min is None:
        return {
            "normal-or-wet": little_slow * little_floor,
            "polymer": little_floor,
            "leak": little_slow,
        }
    fast = np.exp(shapes.level) * (1 - shapes.floor) * (1 - shapes.slow) * shapes.lasted
    gas = np.log(np.maximum(fast, 1e-300) / (limit_mbar * dry_min))
    dry, wet = _normal(gas, LIKE_DRY), _normal(gas - np.log(WETTER), LIKE_WET)
    return {
        "normal": dry * little_slow * little_floor,
        "wet": wet * little_slow * little_floor,
        "polymer": dry * little_floor,
        "leak": dry * little_slow,
    }


def _normal(away: np.ndarray, sigma: float) -> np.ndarray:
    return np.exp(-0.5 * (away / sigma) ** 2) / sigma
