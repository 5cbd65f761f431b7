"""What the neighbours of a point say about it: local polynomials and slopes. Arrays only.

The last axis holds the points; axes before it hold curves that are done at once.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

LEAST_KNOTS = 4
"""Fewer points make no curve between them."""
RELAXED = 6
"""So often the slopes of a spline are brought in line with their neighbours; each time halves what is off."""

SHORT = 1000
"""Weights of longer scans are not remembered: they would fill the memory, and cost little beside the rest."""


class Local(NamedTuple):
    """Neighbours of each point (count, points), the weights (..., count, points) that predict it from them,
    and the variance (..., points) of that prediction where every point has variance one."""

    index: np.ndarray
    weights: np.ndarray
    variance: np.ndarray

    def predict(self, value: np.ndarray) -> np.ndarray:
        """The local polynomial's value at each point, the point itself left out; NaN where it has none.

        Of `value` (..., points) only the usable points are read.
        """
        read = np.take(np.where(np.isfinite(value), value, 0.0), self.index, axis=-1)
        return np.einsum("...cp,...cp->...p", self.weights, read)


def local_weights(energy_ev: np.ndarray, usable: np.ndarray, half_width: int, degree: int) -> Local:
    """Weights of a local polynomial of `degree` through the 2·half_width nearest points by rank.

    Points that are not `usable` get no weight. NaN where fewer than degree + 2 are left. Most points have
    usable neighbours only, and energies come again with every look at a scan: for those the weights are
    remembered.
    """
    size = energy_ev.shape[-1]
    index = _nearest(size, half_width)
    rows = energy_ev.reshape(-1, size)
    kept = _remembered if size <= SHORT else _remembered.__wrapped__
    found = [kept(row.tobytes(), half_width, degree) for row in rows]
    weights, variance = (np.array(part) for part in zip(*found, strict=True))
    chosen = usable.reshape(-1, size)
    if not chosen.all():
        row, point = np.nonzero(~np.take(chosen, index, axis=-1).all(axis=1))
        near = index[:, point]
        offset = rows[row, near] - rows[row, point]
        fresh = _weights(offset, chosen[row, near] & (near != point), degree)
        weights[row, :, point], variance[row, point] = fresh[0].T, fresh[1]
    return Local(index, weights.reshape(*usable.shape[:-1], *index.shape), variance.reshape(usable.shape))


def predict_without(
    energy_ev: np.ndarray, value: np.ndarray, place: tuple[np.ndarray, np.ndarray, np.ndarray], size: tuple
) -> tuple[np.ndarray, np.ndarray]:
    """Predictions and their variances, both (places,), on curves (rows, points), one more point left out.

    `place` holds row, point and the point left out, each (places,); `size` half width and degree.
    """
    row, point, without = place
    half_width, degree = size
    near = _nearest(value.shape[-1], half_width)[:, point]
    read = value[row, near]
    chosen = np.isfinite(read) & (near != point) & (near != without)
    weights, variance = _weights(energy_ev[row, near] - energy_ev[row, point], chosen, degree)
    return np.sum(weights * np.where(chosen, read, 0.0), axis=0), variance


@lru_cache(maxsize=256)
def _remembered(energy: bytes, half_width: int, degree: int) -> tuple[np.ndarray, np.ndarray]:
    """Weights (count, points) and variance (points,) where every point is usable."""
    energy_ev = np.frombuffer(energy)
    index = _nearest(energy_ev.size, half_width)
    return _weights(energy_ev[index] - energy_ev, index != np.arange(energy_ev.size), degree)


@lru_cache(maxsize=64)
def _nearest(size: int, half_width: int) -> np.ndarray:
    """Ranks of the points nearest by rank to each point, itself among them: (count, points)."""
    count = min(2 * half_width + 1, size)
    return np.clip(np.arange(size) - half_width, 0, size - count) + np.arange(count)[:, None]


def _weights(offset: np.ndarray, chosen: np.ndarray, degree: int) -> tuple[np.ndarray, np.ndarray]:
    """Weights (count, places) and variance (places,) of the value at offset 0 of polynomials through the
    chosen neighbours, which lie at these offsets.

    By polynomials that are orthogonal on the neighbours, each from the two before it (Forsythe 1957).
    """
    offset = offset / np.max(np.abs(offset), axis=0)
    there, here = chosen.astype(float), np.ones(offset.shape[1])
    there_before, here_before, norm_before = np.zeros(offset.shape), 0.0, 1.0
    weights, variance = np.zeros(offset.shape), np.zeros(offset.shape[1])
    for power in range(degree + 1):
        norm = np.maximum(np.sum(there**2, axis=0), 1e-300)
        weights += there * (here / norm)
        variance += here**2 / norm
        if power < degree:
            moved = offset * there
            middle, ratio = np.sum(moved * there, axis=0) / norm, norm / norm_before
            there_before, there = there, moved - middle * there - ratio * there_before
            here_before, here, norm_before = here, -middle * here - ratio * here_before, norm
    enough = np.sum(chosen, axis=0) >= degree + 2
    return np.where(enough, weights, np.nan), np.where(enough, variance, np.nan)


def slopes(energy_ev: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """Slope at each point of the parabola through it and its neighbours; at the ends, of the last one."""
    width = np.diff(energy_ev)
    step = np.diff(curve) / width
    before, after = width[..., :-1], width[..., 1:]
    inner = (step[..., :-1] * after + step[..., 1:] * before) / (before + after)
    ends = 2.0 * step[..., :1] - inner[..., :1], 2.0 * step[..., -1:] - inner[..., -1:]
    return np.concatenate([ends[0], inner, ends[1]], axis=-1)


class Spline(NamedTuple):
    """A cubic spline through the finite points of a curve: the curve as it came (points,), and the knots with
    their heights and slopes (knots,)."""

    energy_ev: np.ndarray
    value: np.ndarray
    knots: np.ndarray
    height: np.ndarray
    slope: np.ndarray

    def at(self, energy_ev: np.ndarray) -> np.ndarray:
        """The curve on the energies asked (points,), NaN outside its own.

        Read-back energies jitter, so a quarter of a step beyond either end still counts. On the curve's
        own energies it is given back as it came, missing points and all.
        """
        if self.energy_ev.shape == energy_ev.shape and np.all(np.abs(self.energy_ev - energy_ev) < 1e-6):
            return self.value.copy()
        knots, height, slope = self.knots, self.height, self.slope
        if knots.size < LEAST_KNOTS:
            return np.full(energy_ev.shape, np.nan)
        left = np.clip(np.searchsorted(knots, energy_ev, "right") - 1, 0, knots.size - 2)
        step, rise = knots[left + 1] - knots[left], height[left + 1] - height[left]
        share = (energy_ev - knots[left]) / step
        bend = (1.0 - share) * (slope[left] * step - rise) - share * (slope[left + 1] * step - rise)
        value = height[left] + share * rise + share * (1.0 - share) * bend
        low = knots[0] - (knots[1] - knots[0]) / 4.0
        high = knots[-1] + (knots[-1] - knots[-2]) / 4.0
        return np.where((energy_ev >= low) & (energy_ev <= high), value, np.nan)


def spline(energy_ev: np.ndarray, value: np.ndarray) -> Spline:
    """The spline of a curve (points,), NaN where a point is missing.

    Its slopes come by relaxation, so that nothing heavier than numpy is needed: at each knot the
    curvatures of both sides are made equal, given the slopes of its neighbours.
    """
    good = np.isfinite(value)
    knots, height = energy_ev[good], value[good]
    if knots.size < LEAST_KNOTS:
        return Spline(energy_ev, value, knots, height, np.zeros(knots.size))
    width = np.diff(knots)
    after_share = width[1:] / (width[:-1] + width[1:])
    parabola = slopes(knots, height)
    slope = parabola.copy()
    for _ in range(RELAXED):
        neighbours = after_share * slope[:-2] + (1.0 - after_share) * slope[2:]
        slope[1:-1] = 1.5 * parabola[1:-1] - 0.5 * neighbours
    return Spline(energy_ev, value, knots, height, slope)
