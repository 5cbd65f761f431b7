"""Does a scan reach far enough for what is asked of it? Arrays only; energies rise strictly.

How much is needed on either side grows with the energy, as line widths and resolution do, and with what
is asked: an edge step needs a stretch above the last line, a ratio inside the edge does not.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.noise import single_scan_noise

NEEDED_SHARE, NEEDED_AT_MOST_EV = 0.004, 12.0
"""Level stretch on either side of the edge, as a share of the energy up to a limit: 1.2 eV at 300 eV,
6.3 at 1570, 12 from 3000 on (common practice, no source). Tails of lines reach about so far."""
NEEDED_POINTS = 8
"""Fewer points make no baseline and no step (common practice, no source)."""
STAYS = 3
"""So many points in a row must lie above a level before the curve has passed it."""
RISEN = 0.06
"""The rise has begun where the curve leaves its lowest stretch by this share of its height."""


class Need(NamedTuple):
    """What is asked: distance from the first edge to the last (eV, 0 for one edge), whether a step is
    scaled to, and the windows of the feature (low, high) in eV."""

    split_ev: float
    step: bool
    windows: tuple[tuple[float, float], ...]


class Reach(NamedTuple):
    """Where the rise begins, where half of it is climbed and where the first strong top lies (eV), the level
    stretches below the rise and above the last line (eV), the points in them, and what each must be (eV)."""

    rise_ev: float
    half_ev: float
    top_ev: float
    below_ev: float
    above_ev: float
    below_points: int
    above_points: int
    needed_ev: float


class Landmarks(NamedTuple):
    """Where the curve begins to rise, is half risen, and has its first strong top (eV, NaN without one)."""

    rise_ev: float
    half_ev: float
    top_ev: float


def landmarks(energy_ev: np.ndarray, value: np.ndarray) -> Landmarks:
    """The landmarks of a curve without missing points.

    Half is half of the height above the lowest points before the highest one. The rise begins where the
    curve leaves its foot, the lowest points in a short reach below that: a background may bend further off.
    """
    smooth = three_point_mean(value)
    before = smooth[: int(np.argmax(smooth)) + 1]
    if before.size < STAYS:
        return Landmarks(*(float("nan"),) * 3)
    level = _lowest(before)
    height = float(np.max(smooth)) - level
    half = _climbed(smooth, level + 0.5 * height)
    near = (energy_ev[:half] > energy_ev[half] - 4.0 * needed_ev(energy_ev)).nonzero()[0]
    foot = _lowest(smooth[near]) if near.size else level
    below = near[smooth[near] < foot + RISEN * height]
    rise = float(energy_ev[below[-1]]) if below.size else float("nan")
    half = float(energy_ev[half]) if half else float("nan")
    near = (energy_ev >= half) & (energy_ev <= half * (1.0 + NEEDED_SHARE))
    top = float(energy_ev[near][np.argmax(smooth[near])]) if near.any() else float("nan")
    return Landmarks(rise, half, top)


def three_point_mean(value: np.ndarray) -> np.ndarray:
    """Mean of each point and its neighbours along the last axis; an end counts twice in its own."""
    ends = value[..., :1], value, value[..., -1:]
    wide = np.concatenate(ends, axis=-1)
    return (wide[..., :-2] + wide[..., 1:-1] + wide[..., 2:]) / 3.0


def needed_ev(energy_ev: np.ndarray) -> float:
    """Level stretch that is needed on either side of an edge at these energies, eV."""
    return min(NEEDED_SHARE * float(energy_ev[energy_ev.size // 2]), NEEDED_AT_MOST_EV)


def _lowest(values: np.ndarray) -> float:
    """Mean of the lowest tenth."""
    return float(np.mean(np.sort(values)[: max(2, values.size // 10)]))


def _climbed(smooth: np.ndarray, threshold: float) -> int:
    """First place from which STAYS points in a row lie above the threshold; 0 where it never was below."""
    above = smooth >= threshold
    last = above.size - STAYS + 1
    return int(np.argmax(np.all([above[step : last + step] for step in range(STAYS)], axis=0)))


def reach(energy_ev: np.ndarray, value: np.ndarray, need: Need) -> Reach:
    """How far the scan reaches on either side of its edge; NaN values are left out."""
    good = np.isfinite(value)
    energy_ev, value = energy_ev[good], value[good]
    if energy_ev.size < NEEDED_POINTS:
        return Reach(*(float("nan"),) * 3, 0.0, 0.0, 0, 0, float("nan"))
    rise, half, top = landmarks(energy_ev, value)
    needed = needed_ev(energy_ev)
    if not np.isfinite(rise):
        return Reach(rise, half, top, 0.0, 0.0, 0, 0, needed)
    last = half + need.split_ev + needed
    return Reach(
        rise,
        half,
        top,
        rise - float(energy_ev[0]),
        float(energy_ev[-1]) - last,
        int(np.sum(energy_ev <= rise)),
        int(np.sum(energy_ev >= last)),
        needed,
    )


def too_short(energy_ev: np.ndarray, value: np.ndarray, need: Need, found: Reach) -> str:
    """'' where the scan is complete, else what it lacks: 'points', 'below', 'above' or 'feature'.

    `found` is its reach.
    """
    if energy_ev.size < 2 * NEEDED_POINTS:
        return "points"
    covered = all(energy_ev[0] <= low and high <= energy_ev[-1] for low, high in need.windows)
    if found.below_ev < found.needed_ev or found.below_points < NEEDED_POINTS:
        return "below"
    if not covered:
        return "feature"
    few = found.above_ev < found.needed_ev or found.above_points < NEEDED_POINTS // 2
    if need.step and (few or _ends_climbing(energy_ev, value, found)):
        return "above"
    return ""


def _ends_climbing(energy_ev: np.ndarray, value: np.ndarray, found: Reach) -> bool:
    """Whether a scan that ends soon after its edge is highest at its end: it was cut before its last line."""
    top_ev = float(energy_ev[int(np.nanargmax(value))])
    return found.above_ev < 4.0 * found.needed_ev and top_ev > energy_ev[-1] - found.needed_ev


def line_width(energy_ev: np.ndarray, value: np.ndarray, found: Reach) -> float:
    """Full width of the first strong line of a scan with this reach; NaN without one.

    Twice the way from half its height to its top, or the way to where it falls back to that half, whichever
    is longer: a point that was left out at a sharp top must not make the line look sharper still.
    """
    good = np.isfinite(value)
    energy_ev, value = energy_ev[good], value[good]
    half, top = found.half_ev, found.top_ev
    if not np.isfinite(half):
        return float("nan")
    after = energy_ev > top
    fallen = energy_ev[after & (value < np.interp(half, energy_ev, value))]
    near = fallen.size and fallen[0] - top <= needed_ev(energy_ev)
    return max(2.0 * (top - half), float(fallen[0] - half) if near else 0.0)


def widest_gap(
    energy_ev: np.ndarray, value: np.ndarray, windows: tuple, width_ev: float
) -> tuple[float, float]:
    """(gap, allowed) in eV where the gap is the largest beside what is allowed, in the stretches that count.

    Those are the feature's windows, or without any the rise to the top. Allowed is half of the window or
    of the line, whichever is wider. One point without a value is told by its two neighbours and opens no
    gap; two in a row do.
    """
    good = np.isfinite(value)
    there = energy_ev[good | _alone(~good)]
    if not windows:
        rise, _, top = landmarks(energy_ev[good], value[good])
        windows = ((rise, top),) if np.isfinite(rise) else ()
    worst = (0.0, float("inf"))
    for low, high in windows:
        first, last = np.searchsorted(there, [low, high])
        knots = there[max(first - 1, 0) : last + 1]
        gap = float(np.max(np.diff(knots), initial=0.0))
        allowed = max(high - low, width_ev) / 2.0
        if gap / allowed > worst[0] / worst[1]:
            worst = (gap, allowed)
    return worst


def _alone(lost: np.ndarray) -> np.ndarray:
    """Lost points (points,) both of whose neighbours are there."""
    beside = np.r_[True, lost, True]
    return lost & ~beside[:-2] & ~beside[2:]


def step_strength(energy_ev: np.ndarray, value: np.ndarray, found: Reach) -> float:
    """Edge step over its standard error: means above and below, for K edges. NaN where either is missing."""
    below = value[energy_ev <= found.rise_ev]
    above = value[energy_ev >= energy_ev[-1] - max(found.above_ev, 0.0)]
    below, above = below[np.isfinite(below)], above[np.isfinite(above)]
    if below.size < 2 or above.size < 2:
        return float("nan")
    sigma = single_scan_noise(energy_ev, value)
    error = float(sigma * np.hypot(below.size**-0.5, above.size**-0.5))
    step = float(above.mean() - below.mean())
    return step / error if error > 0 else float(np.copysign(np.inf, step))


def step_beside_slope(energy_ev: np.ndarray, value: np.ndarray, found: Reach) -> float:
    """Edge step over its standard error where both sides share one slope.

    A background that falls on and on is no edge that falls. NaN where either side is missing.
    """
    good = np.isfinite(value)
    at, height = energy_ev[good], value[good]
    below, above = at <= found.rise_ev, at >= energy_ev[-1] - max(found.above_ev, 0.0)
    if min(np.count_nonzero(below), np.count_nonzero(above)) < 2:
        return float("nan")
    sides = below | above
    slope = (at[sides] - at[sides].mean()) / np.ptp(at)
    columns = np.stack([np.ones(slope.size), slope, above[sides].astype(float)])
    step = float(least_squares(columns, height[sides])[-1])
    error = single_scan_noise(at, height) * float(unit_errors(columns)[-1])
    return step / error if error > 0 else float(np.copysign(np.inf, step))


def line_strength(energy_ev: np.ndarray, value: np.ndarray, found: Reach, split_ev: float) -> float:
    """White-line area over its standard error, for L and M edges: area above the level below the edge,
    from the rise to a little past the last line. NaN where the level is missing."""
    good = np.isfinite(value)
    at, height = energy_ev[good], value[good]
    below = height[at <= found.rise_ev]
    inside = (at >= found.rise_ev) & (at <= found.half_ev + split_ev + found.needed_ev)
    if below.size < 2 or inside.sum() < 3:
        return float("nan")
    width = np.gradient(at)[inside]
    sigma = single_scan_noise(at, height)
    area = float(np.sum((height[inside] - below.mean()) * width))
    error = sigma * float(np.sqrt(np.sum(width**2) + np.sum(width) ** 2 / below.size))
    return area / error if error > 0 else float(np.copysign(np.inf, area))


def above_chord(energy_ev: np.ndarray, value: np.ndarray, found: Reach, split_ev: float) -> float:
    """Area of the lines above the straight line from the level below to the level above, over its error.

    A background that falls steeply hides a weak edge from `line_strength`, and not from this. NaN where
    either level is missing.
    """
    good = np.isfinite(value)
    at, height = energy_ev[good], value[good]
    last = found.half_ev + split_ev + found.needed_ev
    below, above, inside = at <= found.rise_ev, at >= last, (at > found.rise_ev) & (at < last)
    if min(np.count_nonzero(below), np.count_nonzero(above)) < 2 or np.count_nonzero(inside) < 3:
        return float("nan")
    ends = [(at[part].mean(), height[part].mean()) for part in (below, above)]
    chord = np.interp(at[inside], *zip(*ends, strict=True))
    width = np.gradient(at)[inside]
    few = min(np.count_nonzero(below), np.count_nonzero(above))
    error = single_scan_noise(at, height) * float(np.sqrt(np.sum(width**2) + np.sum(width) ** 2 / few))
    area = float(np.sum((height[inside] - chord) * width))
    return area / error if error > 0 else float(np.copysign(np.inf, area))
