"""Single points that do not belong: against other scans of the same thing, or by curvature alone.

A window of five points and its median flags nearly every clean scan and misses a blip on a white line,
because a white line is itself far from its neighbours' median. Here each point is predicted by a local
polynomial through its neighbours, itself left out, and by the other scans; the two predictions are
weighed by how well the polynomial does nearby. Arrays only; energies rise strictly.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.noise import matched_difference, noise_by_level, robust_spread, trimmed_spread

LEAST_POINTS = 16
"""Shorter scans have too few neighbours to judge a point by."""
RELATIVE_FLOOR = 1e-4
"""Noise is never taken smaller than this share of the curve's range: rounding is not noise."""
WORTH_A_LOOK = 2.5
"""Only points farther out than this, in standard deviations, are looked at for curvature around them."""
NARROW, BROAD, WIDE = (3, 3), (6, 3), (9, 2)
"""Half width in points and degree: twice for the curve itself, and for the smooth part of a difference."""


class Guess(NamedTuple):
    """An expected value at each point and its variance in units of one point's own, both (points,)."""

    value: np.ndarray
    factor: np.ndarray


class StandOut(NamedTuple):
    """How far each point stands out, in standard deviations (NaN where it cannot be judged).

    `score` (points,) is signed; `sigma` (points,) is the noise of one point that was used.
    """

    score: np.ndarray
    sigma: np.ndarray


class Local(NamedTuple):
    """Neighbours of each point (points, count) and the weights that predict it from them."""

    index: np.ndarray
    weights: np.ndarray

    def predict(self, value: np.ndarray) -> np.ndarray:
        """The local polynomial's value at each point, the point itself left out."""
        return np.sum(self.weights * np.nan_to_num(value)[self.index], axis=1)

    def variance(self) -> np.ndarray:
        """Variance of that prediction where every point has variance one."""
        return np.sum(self.weights**2, axis=1)


def local_weights(energy_ev: np.ndarray, usable: np.ndarray, half_width: int, degree: int) -> Local:
    """Weights of a local polynomial of `degree` through the 2·half_width nearest points by rank.

    Points that are not `usable` get no weight. NaN weights where fewer than degree + 2 are left.
    """
    count, size = 2 * half_width + 1, energy_ev.size
    start = np.clip(np.arange(size) - half_width, 0, size - count)
    index = start[:, None] + np.arange(count)
    offset = energy_ev[index] - energy_ev[:, None]
    chosen = usable[index] & (index != np.arange(size)[:, None])
    offset /= np.abs(offset).max(axis=1, keepdims=True)
    powers = np.empty((size, degree + 1, count))
    powers[:, 0] = chosen
    for power in range(degree):
        powers[:, power + 1] = powers[:, power] * offset
    normal = powers @ powers.transpose(0, 2, 1)
    normal[:, range(degree + 1), range(degree + 1)] += 1e-12
    first = np.linalg.solve(normal, np.eye(degree + 1)[:, :1])
    weights = (first.transpose(0, 2, 1) @ powers)[:, 0]
    weights[chosen.sum(axis=1) < degree + 2] = np.nan
    return Local(index, weights)


def onto(energy_ev: np.ndarray, other_energy_ev: np.ndarray, other: np.ndarray) -> np.ndarray:
    """`other` on the energies asked, by a cubic spline through its finite points; NaN outside them."""
    from scipy.interpolate import CubicSpline

    if other_energy_ev.shape == energy_ev.shape and np.allclose(
        other_energy_ev, energy_ev, rtol=0, atol=1e-6
    ):
        return other.copy()
    good = np.isfinite(other)
    if good.sum() < 4:
        return np.full(energy_ev.shape, np.nan)
    known = other_energy_ev[good]
    inside = (energy_ev >= known[0]) & (energy_ev <= known[-1])
    return np.where(inside, CubicSpline(known, other[good])(energy_ev), np.nan)


def _nearby_excess(residual: np.ndarray, variance: np.ndarray, reach: int) -> np.ndarray:
    """Mean of residual² - variance over the points within `reach`, the point itself left out, not below 0."""
    excess = np.nan_to_num(residual**2 - variance)
    here = np.isfinite(residual).astype(float)
    kernel = np.ones(2 * reach + 1)
    kernel[reach] = 0.0
    total, count = np.convolve(excess, kernel, "same"), np.convolve(here, kernel, "same")
    return np.maximum(total / np.maximum(count, 1.0), 0.0)


def _not_judged(value: np.ndarray) -> StandOut:
    return StandOut(np.full(value.shape, np.nan), np.full(value.shape, np.nan))


def _floored(sigma: np.ndarray, value: np.ndarray) -> np.ndarray:
    return np.maximum(np.nan_to_num(sigma), RELATIVE_FLOOR * np.ptp(value[np.isfinite(value)]))


def alone(energy_ev: np.ndarray, value: np.ndarray) -> StandOut:
    """Stand-out of each point of a single scan, against a local cubic through its neighbours.

    Where the neighbours are themselves badly predicted once the point is left out, as on the shoulder
    of a sharp line, the point is judged by that misfit and not by the noise alone.
    """
    usable = np.isfinite(value)
    if usable.sum() < LEAST_POINTS:
        return _not_judged(value)
    local = local_weights(energy_ev, usable, *NARROW)
    residual = np.where(usable, value - local.predict(value), np.nan)
    scaled = residual / np.sqrt(1.0 + local.variance())
    sigma = _floored(noise_by_level(value, scaled), value)
    noise = np.sqrt(1.0 + local.variance()) * sigma
    misfit = np.zeros(value.size)
    for point in np.flatnonzero(np.abs(residual) > WORTH_A_LOOK * noise):
        misfit[point] = _misfit_without(energy_ev, value, sigma, point)
    return StandOut(residual / np.sqrt(noise**2 + misfit), sigma)


def _misfit_without(energy_ev: np.ndarray, value: np.ndarray, sigma: np.ndarray, point: int) -> float:
    """Excess misfit² of the neighbours of a point when that point is taken away: real curvature."""
    reach, size = NARROW[0], value.size
    start = min(max(point - 3 * reach, 0), max(size - 6 * reach - 1, 0))
    part = slice(start, start + 6 * reach + 1)
    here, curve = point - start, value[part]
    usable = np.isfinite(curve)
    usable[here] = False
    local = local_weights(energy_ev[part], usable, *NARROW)
    residual = np.where(usable, curve - local.predict(curve), np.nan)
    return float(_nearby_excess(residual, sigma[part] ** 2 * (1.0 + local.variance()), reach)[here])


def against(energy_ev: np.ndarray, value: np.ndarray, others: np.ndarray) -> StandOut:
    """Stand-out of each point against `others` (scans, points) on the same energies, NaN where absent.

    Gain, offset, slope, slide and any smooth rest are taken out between the scans first. Where the
    others do not reach, the score is NaN. A point is scored only where it lies farther from the
    neighbours' prediction than the others do there: of two scans that disagree, the bent one is named.
    """
    matched = np.array([value - matched_difference(energy_ev, other, value) for other in others])
    matched = _the_steady(value, matched)
    count = np.isfinite(matched).sum(axis=0)
    usable = np.isfinite(value) & (count > 0)
    if usable.sum() < LEAST_POINTS:
        return _not_judged(value)
    mean = np.nansum(matched, axis=0) / np.maximum(count, 1)
    wide = local_weights(energy_ev, usable, *WIDE)
    difference, share = np.where(usable, value - mean, 0.0), 1.0 / np.maximum(count, 1)
    rough = trimmed_spread(difference[usable]) / np.sqrt(1.0 + share)
    nothing = Guess(np.zeros(value.shape), np.zeros(value.shape))
    drift = Guess(wide.predict(difference), (1.0 + share) * wide.variance())
    smooth = _weigh(nothing, drift, rough, WIDE[0])
    direct = Guess(mean + smooth.value, share + smooth.factor)
    residual = np.where(usable, value - direct.value, np.nan)
    sigma = _floored(noise_by_level(value, residual / np.sqrt(1.0 + direct.factor)), value)
    pooled = (value + count * direct.value) / (count + 1.0)
    bent = _bent(energy_ev, np.where(usable, pooled, np.nan), 1.0 / (count + 1.0), sigma)
    truth = _weigh(bent, direct, sigma, NARROW[0])
    score = np.where(usable, value - truth.value, np.nan) / (sigma * np.sqrt(1.0 + truth.factor))
    score = score / np.sqrt(np.maximum(1.0, (1.0 + _nearby_excess(score, np.ones(score.shape), 5)) / 1.8))
    return StandOut(
        np.where(_is_the_odd_one(value, matched + smooth.value, bent.value), score, 0.0 * score), sigma
    )


def _is_the_odd_one(value: np.ndarray, theirs: np.ndarray, bent: np.ndarray) -> np.ndarray:
    """Whether this scan, and none of the others, lies farthest out at each point.

    Three or more scans are judged from their median. Two are judged from the neighbours' polynomial,
    its own misfit interpolated from both sides: of two that disagree, the bent one is named.
    """
    if len(theirs) > 1:
        known = np.where(np.isfinite(theirs), theirs, value)
        centre = np.median(np.vstack([value[None], known]), axis=0)
    else:
        misfit = np.nan_to_num((value + theirs[0]) / 2.0 - bent)
        centre = bent + (np.roll(misfit, 1) + np.roll(misfit, -1)) / 2.0
    return np.abs(value - centre) >= np.max(np.abs(np.nan_to_num(theirs - centre)), axis=0)


def _bent(energy_ev: np.ndarray, curve: np.ndarray, factor: np.ndarray, sigma: np.ndarray) -> Guess:
    """The value at each point from its neighbours alone: a long reach where the curve is calm."""
    usable = np.isfinite(curve)
    long, short = (local_weights(energy_ev, usable, *size) for size in (BROAD, NARROW))
    return _weigh(
        Guess(long.predict(curve), long.variance() * factor),
        Guess(short.predict(curve), short.variance() * factor),
        sigma,
        NARROW[0],
    )


def _weigh(calm: Guess, true: Guess, sigma: np.ndarray, reach: int) -> Guess:
    """One guess from two: `calm` is quiet but may miss curvature, `true` is noisier and misses less.

    How much `calm` misses is read from its misfit to `true` nearby, the point itself left out; where
    that is large, `true` takes over.
    """
    bias = true.value - calm.value
    missed = _nearby_excess(bias, sigma**2 * (calm.factor + true.factor), reach) / sigma**2
    share = missed / np.maximum(missed + true.factor, 1e-300)
    factor = calm.factor + share**2 * true.factor + (1.0 - share) ** 2 * missed
    return Guess(calm.value + share * bias, np.minimum(factor, true.factor + calm.factor))


def _the_steady(value: np.ndarray, matched: np.ndarray) -> np.ndarray:
    """The other scans without those that match more than three times worse than the best one."""
    spreads = np.array([robust_spread(value - other) for other in matched])
    if not np.isfinite(spreads).any():
        return np.full(matched.shape, np.nan)
    poor = ~(spreads <= 3.0 * np.nanmin(spreads) + 1e-300)
    return np.where(poor[:, None], np.nan, matched)


def loudest(score: np.ndarray, threshold: np.ndarray, reach: int) -> np.ndarray:
    """Where |score| passes its threshold and no point within `reach` stands out more. Shape (points,)."""
    size = np.abs(np.nan_to_num(score))
    padded = np.pad(size, reach, constant_values=-1.0)
    tallest = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1).max(axis=1)
    return (size > threshold) & (size >= tallest)
