"""One number read from a curve in stated windows, as a weighted sum wherever it can be one."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np


def window_weights(energy: np.ndarray, low: float, high: float) -> np.ndarray:
    """Weights (points,) whose dot product with a curve is its mean over [low, high].

    The curve is taken as straight between its points, so a window may end between two of them. Raises
    ValueError when the window is not inside the energies.
    """
    if low < energy[0] or high > energy[-1] or low >= high:
        raise ValueError(f"a window of {low} to {high} does not lie inside {energy[0]} to {energy[-1]}")
    first = int(np.searchsorted(energy, low, side="right")) - 1
    last = min(int(np.searchsorted(energy, high, side="left")), len(energy) - 1)
    near = energy[first : last + 1]
    knots = np.concatenate([[low], near[(near > low) & (near < high)], [high]])
    half = np.diff(knots) / 2
    area = np.concatenate([half, [0.0]]) + np.concatenate([[0.0], half])
    left = np.clip(np.searchsorted(near, knots, side="right") - 1, 0, len(near) - 2)
    share = (knots - near[left]) / (near[left + 1] - near[left])
    inside = np.bincount(left, area * (1 - share), len(near)) + np.bincount(left + 1, area * share, len(near))
    weights = np.zeros(len(energy))
    weights[first : last + 1] = inside / (high - low)
    return weights


def mean_in(energy: np.ndarray, value: np.ndarray, window: tuple[float, float]) -> float:
    """Mean of the curve over the window."""
    return float(window_weights(energy, *window) @ value)


def ratio(energy: np.ndarray, value: np.ndarray, first: tuple, second: tuple) -> float:
    """Mean in the first window over mean in the second; NaN where the second is not positive."""
    below = mean_in(energy, value, second)
    return mean_in(energy, value, first) / below if below > 0 else float("nan")


def area(energy: np.ndarray, value: np.ndarray, window: tuple[float, float]) -> float:
    """Integral of the curve over the window, in its own unit times eV."""
    return mean_in(energy, value, window) * (window[1] - window[0])


def centroid(energy: np.ndarray, value: np.ndarray, window: tuple[float, float]) -> float:
    """Energy weighted by the curve over the window; NaN where the curve's area is not positive."""
    total = mean_in(energy, value, window)
    return mean_in(energy, energy * value, window) / total if total > 0 else float("nan")


def position(energy: np.ndarray, value: np.ndarray, window: tuple[float, float]) -> float:
    """Energy of the maximum in the window: the top of a parabola through the highest points.

    All points within a quarter of the window around the maximum are fitted, so noise moves it little.
    """
    inside = (energy >= window[0]) & (energy <= window[1]) & np.isfinite(value)
    if inside.sum() < 3:
        raise ValueError(
            f"a position needs 3 points in {window[0]} to {window[1]}, found {int(inside.sum())}"
        )
    at, height = energy[inside], value[inside]
    top = int(np.argmax(height))
    near = np.abs(at - at[top]) <= max((window[1] - window[0]) / 8, 1.01 * float(np.median(np.diff(at))))
    if near.sum() < 3:
        return float(at[top])
    bend, tilt, _ = np.polyfit(at[near] - at[top], height[near], 2)
    if bend >= 0:
        return float(at[top])
    return float(np.clip(at[top] - tilt / (2 * bend), at[near][0], at[near][-1]))


def crossing(energy: np.ndarray, value: np.ndarray, level: float) -> float:
    """The first energy at which the curve rises through `level`; NaN where it never does."""
    above = value >= level
    up = np.flatnonzero(~above[:-1] & above[1:])
    if len(up) == 0:
        return float("nan")
    k = up[0]
    share = (level - value[k]) / (value[k + 1] - value[k])
    return float(energy[k] + share * (energy[k + 1] - energy[k]))


class Rise(NamedTuple):
    """Where an edge rises through a level: `at`, somewhere from `low` to `high`; `lines_before` where a line
    in front of the edge rises through it too. Energies in eV; NaN where nothing rises through it."""

    at: float
    low: float
    high: float
    lines_before: bool


def rise_of_edge(
    energy: np.ndarray, value: np.ndarray, level: float, reach: float, drop: float | None
) -> Rise:
    """Where the edge, not whatever lies in front of it, rises through `level`.

    The edge leads up to the highest value within `reach` (eV) of the first crossing. A curve that falls back
    by more than `drop` on its way there passed a line in front of the edge. Where it falls below the level,
    the edge rises through it after that; where it stays above, the edge starts too high to be read there, and
    the place lies anywhere from the line's own crossing to the middle of the rise behind it. Where small
    wiggles cross the level more than once, the place lies between the first and the last crossing. With
    `drop` None the first crossing alone counts.
    """
    first = crossing(energy, value, level)
    if drop is None or not np.isfinite(first):
        return Rise(first, first, first, False)
    start = int(np.searchsorted(energy, first))
    near = value[start : max(int(np.searchsorted(energy, first + reach)), start + 1)]
    top = int(np.argmax(near))
    fallen = np.maximum.accumulate(near[: top + 1]) - near[: top + 1]
    valley = int(np.argmax(fallen))
    if fallen[valley] <= drop:
        last = _last_crossing(energy, value, level, start + top)
        return Rise(0.5 * (first + last), first, last, False)
    behind = slice(start + valley, start + top + 1)
    if near[valley] < level:
        low = crossing(energy[behind], value[behind], level)
        last = _last_crossing(energy, value, level, start + top)
        return Rise(0.5 * (low + last), low, last, True)
    last = crossing(energy[behind], value[behind], 0.5 * (near[valley] + near[top]))
    return Rise(0.5 * (first + last), first, last, True)


def _last_crossing(energy: np.ndarray, value: np.ndarray, level: float, end: int) -> float:
    """The last energy before index `end` at which the curve rises through `level`."""
    k = int(np.flatnonzero(value[:end] < level)[-1])
    share = (level - value[k]) / (value[k + 1] - value[k])
    return float(energy[k] + share * (energy[k + 1] - energy[k]))


def mean_sigma(energy: np.ndarray, sigma: np.ndarray, window: tuple[float, float]) -> float:
    """Independent error of `mean_in`, from the error of each point."""
    return float(np.sqrt(np.sum((window_weights(energy, *window) * sigma) ** 2)))


def ratio_sigma(
    energy: np.ndarray, value: np.ndarray, sigma: np.ndarray, first: tuple, second: tuple
) -> float:
    """Independent error of `ratio`; the two windows are taken as apart from one another."""
    above, below = mean_in(energy, value, first), mean_in(energy, value, second)
    parts = mean_sigma(energy, sigma, first) / below, above * mean_sigma(energy, sigma, second) / below**2
    return float(np.hypot(*parts))
