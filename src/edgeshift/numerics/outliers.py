"""Single points that do not belong: against other scans of the same thing, or by curvature alone.

A window of five points and its median flags nearly every clean scan and misses a blip on a white line,
because a white line is itself far from its neighbours' median. Here each point is predicted by a local
polynomial through its neighbours, itself left out, and by the other scans; the two predictions are
weighed by how well the polynomial does nearby. Arrays only; energies rise strictly. The last axis holds
the points; axes before it hold scans that are judged at once.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.local_lines import local_weights, predict_without
from edgeshift.numerics.noise import matched_difference, noise_by_level, robust_spread

LEAST_POINTS = 16
"""Shorter scans have too few neighbours to judge a point by."""
RELATIVE_FLOOR = 1e-4
"""Noise is never taken smaller than this share of the curve's range: rounding is not noise."""
LEVEL_FLOOR = 1e-9
"""Nor smaller than this share of its highest reading, where a column is dead level."""
WORTH_A_LOOK = 2.5
"""Only points farther out than this, in standard deviations, are looked at for curvature around them."""
NARROW, BROAD, WIDE = (3, 3), (6, 3), (9, 2)
"""Half width in points and degree: twice for the curve itself, and for the smooth part of a difference."""
CALM_REACH = 5
"""A score counts less where so many points on either side are out as well."""


class Guess(NamedTuple):
    """An expected value at each point and its variance in units of one point's own, both (..., points)."""

    value: np.ndarray
    factor: np.ndarray


class StandOut(NamedTuple):
    """How far each point stands out, in standard deviations (NaN where it cannot be judged).

    `score` (..., points) is signed; `sigma` (..., points) is the noise of one point that was used.
    """

    score: np.ndarray
    sigma: np.ndarray


def alone(energy_ev: np.ndarray, value: np.ndarray) -> StandOut:
    """Stand-out of each point of single scans, against a local cubic through its neighbours.

    Where the neighbours are themselves badly predicted once the point is left out, as on the shoulder
    of a sharp line, the point is judged by that misfit and not by the noise alone.
    """
    if value.shape[-1] < LEAST_POINTS:
        return _not_judged(value)
    local = local_weights(energy_ev, np.isfinite(value), *NARROW)
    residual = (value - local.predict(value)) / np.sqrt(1.0 + local.variance)
    sigma = _floored(noise_by_level(value, residual), value)
    return alone_at(energy_ev, value, sigma, np.ones(value.shape, dtype=bool))


@np.errstate(divide="ignore", invalid="ignore")
def alone_at(energy_ev: np.ndarray, value: np.ndarray, sigma: np.ndarray, asked: np.ndarray) -> StandOut:
    """The same where the noise is known already and scores are wanted at the points `asked` only.

    At other points the score leaves curvature out.
    """
    if value.shape[-1] < LEAST_POINTS:
        return _not_judged(value)
    usable = np.isfinite(value)
    local = local_weights(energy_ev, usable, *NARROW)
    residual = value - local.predict(value)
    noise = np.sqrt(1.0 + local.variance) * sigma
    looked = asked & (np.abs(residual) > WORTH_A_LOOK * noise)
    rows = [each.reshape(-1, value.shape[-1]) for each in (energy_ev, value, sigma, looked)]
    misfit = _misfit_without(*rows).reshape(value.shape)
    return _where_enough(usable, residual / np.sqrt(noise**2 + misfit), sigma)


def _misfit_without(
    energy_ev: np.ndarray, value: np.ndarray, sigma: np.ndarray, looked: np.ndarray
) -> np.ndarray:
    """Excess misfit² of the neighbours of the points `looked` at, when that point is taken away: curvature.

    0 at all other points.
    """
    row, point = np.nonzero(looked)
    beside = point[:, None] + np.r_[-NARROW[0] : 0, 1 : NARROW[0] + 1]
    inside = (beside >= 0) & (beside < value.shape[-1])
    row, place = np.broadcast_to(row[:, None], beside.shape)[inside], beside[inside]
    left_out = np.broadcast_to(point[:, None], beside.shape)[inside]
    guess, variance = predict_without(energy_ev, value, (row, place, left_out), NARROW)
    excess = np.full(beside.shape, np.nan)
    excess[inside] = (value[row, place] - guess) ** 2 - sigma[row, place] ** 2 * (1.0 + variance)
    known = np.isfinite(excess)
    mean = np.sum(excess, axis=1, where=known) / np.maximum(np.count_nonzero(known, axis=1), 1)
    misfit = np.zeros(value.shape)
    misfit[looked] = np.maximum(mean, 0.0)
    return misfit


@np.errstate(divide="ignore", invalid="ignore")
def against(energy_ev: np.ndarray, value: np.ndarray, others: np.ndarray) -> StandOut:
    """Stand-out of each point against `others` (..., scans, points) on the same energies, NaN where absent.

    Gain, offset, slope, slide and any smooth rest are taken out between the scans first. Where the
    others do not reach, the score is NaN. A point is scored only where it lies farther from the
    neighbours' prediction than the others do there: of two scans that disagree, the bent one is named.
    """
    if value.shape[-1] < LEAST_POINTS:
        return _not_judged(value)
    matched = _the_steady(value, others, energy_ev)
    there = np.isfinite(matched)
    count = np.count_nonzero(there, axis=-2)
    usable = np.isfinite(value) & (count > 0)
    share = 1.0 / np.maximum(count, 1)
    mean = np.where(count > 0, np.sum(matched, axis=-2, where=there) * share, np.nan)
    difference = value - mean
    wide = local_weights(energy_ev, usable, *WIDE)
    rough = robust_spread(difference / np.sqrt(1.0 + share))[..., None]
    nothing = Guess(np.zeros(value.shape), np.zeros(value.shape))
    drift = Guess(wide.predict(difference), (1.0 + share) * wide.variance)
    smooth = _weigh(nothing, drift, rough, WIDE[0])
    direct = Guess(mean + smooth.value, share + smooth.factor)
    residual = value - direct.value
    sigma = _floored(noise_by_level(value, residual / np.sqrt(1.0 + direct.factor)), value)
    pooled = (value + count * direct.value) / (count + 1.0)
    bent = _bent(energy_ev, pooled, 1.0 / (count + 1.0), sigma)
    truth = _weigh(bent, direct, sigma, NARROW[0])
    # Beside a hole the polynomial leans on one side, so the other scans alone say what is expected.
    holed = _around(~usable, NARROW[0]) > 0
    truth = Guess(
        np.where(holed, direct.value, truth.value),
        np.where(holed, direct.factor + bent.factor, truth.factor),
    )
    score = (value - truth.value) / (sigma * np.sqrt(1.0 + truth.factor))
    restless = 1.0 + _nearby_excess(score, np.ones(score.shape), CALM_REACH)
    score = score / np.sqrt(np.maximum(1.0, restless / 1.8))
    odd = _is_the_odd_one(value, matched + smooth.value[..., None, :], bent.value)
    return _where_enough(usable, np.where(odd, score, 0.0 * score), sigma)


def _where_enough(usable: np.ndarray, score: np.ndarray, sigma: np.ndarray) -> StandOut:
    """Scores of the scans that have enough usable points, NaN for the others."""
    enough = (np.count_nonzero(usable, axis=-1) >= LEAST_POINTS)[..., None]
    return StandOut(np.where(enough & usable, score, np.nan), np.where(enough, sigma, np.nan))


def _not_judged(value: np.ndarray) -> StandOut:
    return StandOut(np.full(value.shape, np.nan), np.full(value.shape, np.nan))


def _floored(sigma: np.ndarray, value: np.ndarray) -> np.ndarray:
    """The noise, but no less than rounding, of a level column too; 0 where there is nothing to tell it by."""
    finite = np.isfinite(value)
    high = np.max(value, axis=-1, where=finite, initial=-np.inf, keepdims=True)
    low = np.min(value, axis=-1, where=finite, initial=np.inf, keepdims=True)
    least = np.maximum(RELATIVE_FLOOR * (high - low), LEVEL_FLOOR * np.maximum(high, -low))
    return np.fmax(sigma, np.maximum(least, 0.0))


def _nearby_excess(residual: np.ndarray, variance: np.ndarray, reach: int) -> np.ndarray:
    """Mean of residual² - variance over the points within `reach`, the point itself left out, not below 0."""
    excess = residual**2 - variance
    known = np.isfinite(excess)
    total, count = _around(np.stack([np.where(known, excess, 0.0), known]), reach)
    return np.maximum(total / np.maximum(count, 1.0), 0.0)


def _around(each: np.ndarray, reach: int) -> np.ndarray:
    """Sum over the points within `reach` on either side, the point itself left out."""
    total = np.zeros(each.shape)
    for step in range(1, reach + 1):
        total[..., step:] += each[..., :-step]
        total[..., :-step] += each[..., step:]
    return total


def _is_the_odd_one(value: np.ndarray, theirs: np.ndarray, bent: np.ndarray) -> np.ndarray:
    """Whether this scan, and none of the others, lies farthest out at each point.

    Three or more scans are judged from their median. Two are judged from the neighbours' polynomial,
    its own misfit interpolated from both sides: of two that disagree, the bent one is named.
    """
    if theirs.shape[-2] > 1:
        known = np.where(np.isfinite(theirs), theirs, value[..., None, :])
        every = np.sort(np.concatenate([value[..., None, :], known], axis=-2), axis=-2)
        count = every.shape[-2]
        centre = (every[..., (count - 1) // 2, :] + every[..., count // 2, :]) / 2.0
    else:
        misfit = (value + theirs[..., 0, :]) / 2.0 - bent
        misfit = np.where(np.isfinite(misfit), misfit, 0.0)
        centre = bent + (np.roll(misfit, 1, axis=-1) + np.roll(misfit, -1, axis=-1)) / 2.0
    apart = np.abs(theirs - centre[..., None, :])
    return np.abs(value - centre) >= np.max(apart, axis=-2, where=np.isfinite(apart), initial=0.0)


def _bent(energy_ev: np.ndarray, curve: np.ndarray, factor: np.ndarray, sigma: np.ndarray) -> Guess:
    """The value at each point from its neighbours alone: a long reach where the curve is calm."""
    usable = np.isfinite(curve)
    long, short = (local_weights(energy_ev, usable, *size) for size in (BROAD, NARROW))
    return _weigh(
        Guess(long.predict(curve), long.variance * factor),
        Guess(short.predict(curve), short.variance * factor),
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


def _the_steady(value: np.ndarray, others: np.ndarray, energy_ev: np.ndarray) -> np.ndarray:
    """The other scans, matched to this one, without those that match more than three times worse than the
    best; NaN in their place."""
    value = value[..., None, :]
    difference = matched_difference(energy_ev[..., None, :], others, value)
    spreads = robust_spread(difference)
    best = np.min(spreads, axis=-1, where=np.isfinite(spreads), initial=np.inf, keepdims=True)
    steady = spreads <= 3.0 * best
    return np.where(steady[..., None], value - difference, np.nan)


def loudest(score: np.ndarray, threshold: np.ndarray, reach: int) -> np.ndarray:
    """Where |score| passes its threshold and no point within `reach` stands out more. Shape (..., points)."""
    size = np.where(np.isfinite(score), np.abs(score), 0.0)
    tallest = size.copy()
    for step in range(1, reach + 1):
        np.maximum(tallest[..., step:], size[..., :-step], out=tallest[..., step:])
        np.maximum(tallest[..., :-step], size[..., step:], out=tallest[..., :-step])
    return (size > threshold) & (size >= tallest)
