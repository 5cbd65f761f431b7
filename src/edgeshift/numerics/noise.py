"""How noisy a curve is, read from the curve itself or from its repeats. Arrays only.

The last axis holds the points, NaN where one is missing; axes before it hold curves that are done at once.
"""

from __future__ import annotations

import numpy as np

from edgeshift.numerics.least_squares import least_squares, not_below_zero
from edgeshift.numerics.local_lines import slopes

MAD_TO_SIGMA = 1.4826
"""Ratio of a Gaussian's standard deviation to its median absolute deviation, 1/Φ⁻¹(3/4)."""
LEVELS = 8
"""Bins of equal count, by level, in which noise is measured."""
LEAST_IN_BIN = 8
"""With fewer points in each bin one noise is taken for all levels."""
LEAST_POINTS = 5
"""With fewer residuals a robust spread says nothing."""
TRIMMED = 3
"""So often the spread is taken anew from what lies within three of the last one."""
QUIETEST, QUIETEST_BIN = 0.3, 0.2
"""No point, and no bin, is taken for quieter than this share of the whole curve's noise."""

STRIDE, BLOCKS, MOST_ALIKE = 4, 6, 3.0
"""Points so far apart are taken to be independent; structure fills no more than all but one of the blocks."""


def robust_spread(residual: np.ndarray) -> np.ndarray:
    """Standard deviation of residuals about zero, from their median size; NaN when too few are finite.

    (..., points) to (...).
    """
    if residual.shape[-1] < LEAST_POINTS:
        return np.full(residual.shape[:-1], np.nan)
    ordered = np.sort(np.abs(residual), axis=-1).reshape(-1, residual.shape[-1])  # NaN come last
    count = np.count_nonzero(np.isfinite(ordered), axis=-1)
    row = np.arange(count.size)
    middle = (ordered[row, (count - 1) // 2] + ordered[row, count // 2]) / 2.0
    spread = np.where(count >= LEAST_POINTS, MAD_TO_SIGMA * middle, np.nan)
    return spread.reshape(residual.shape[:-1])


def trimmed_spread(residual: np.ndarray) -> np.ndarray:
    """Standard deviation about zero without what lies beyond three of them; sharper than the median.

    (..., points) to (...); NaN when too few residuals are finite. A Gaussian cut at ±3σ keeps 0.9866 of
    its standard deviation; the result is scaled back by that.
    """
    size, spread = np.abs(residual), robust_spread(residual)
    for _ in range(TRIMMED):
        with np.errstate(over="ignore"):
            kept = size <= 3.0 * spread[..., None]
            whole = np.sum(size**2, axis=-1, where=kept)
        count = np.maximum(np.count_nonzero(kept, axis=-1), 1)
        spread = np.where(np.isfinite(spread), np.sqrt(whole / count) / 0.9866, np.nan)
    return spread


def line_residuals(energy_ev: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Each inner point minus the line through its two neighbours, scaled to the noise of one point.

    For even steps this is the second difference over √6. (points,) and (..., points) to (..., points - 2);
    NaN where energies repeat. Energies may rise or fall.
    """
    step = np.diff(energy_ev)
    before, after = step[:-1], step[1:]
    whole = np.where(before + after == 0.0, np.nan, before + after)
    share_after = before / whole
    middle = value[..., 1:-1] - (1.0 - share_after) * value[..., :-2] - share_after * value[..., 2:]
    return middle / np.sqrt(1.0 + share_after**2 + (1.0 - share_after) ** 2)


def single_scan_noise(energy_ev: np.ndarray, value: np.ndarray) -> float:
    """Noise of one point from one curve alone: 1.4826·MAD(Δ²y)/√6, extended to uneven steps.

    A fallback: columns that were filtered, binned or rounded make it too small, sharp lines too large.
    """
    if value.size < LEAST_POINTS + 2:
        return float("nan")
    return float(robust_spread(line_residuals(energy_ev, value)))


def neighbours_alike(value: np.ndarray) -> float:
    """How much larger noise is between points STRIDE apart than between neighbours: 1 for white noise.

    More means that a detector or a filter made neighbours alike, and that errors from counting points are too
    small by about this factor. Told by the quietest of BLOCKS parts, because a curve's own structure does the
    same; at most MOST_ALIKE, because a curve almost without noise shows nothing else; 1 where points are few.
    """
    found = []
    for part in np.array_split(value, BLOCKS):
        if part.size >= 4 * STRIDE:
            near, far = (_second_spread(part, stride) for stride in (1, STRIDE))
            found.append(far / near if near > 0 else 1.0)
    return float(np.clip(min(found), 1.0, MOST_ALIKE)) if len(found) == BLOCKS else 1.0


def _second_spread(value: np.ndarray, stride: int) -> float:
    """Spread of one point from second differences of points so far apart."""
    bend = value[2 * stride :] - 2.0 * value[stride:-stride] + value[: -2 * stride]
    return float(np.sqrt(np.mean(bend**2) / 6.0))


def matched_difference(energy_ev: np.ndarray, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """`second` minus the best gain·first + offset + slope·E + slide·dfirst/dE; NaN where either is NaN.

    All (..., points), energies rising. Points beyond four spreads are left out of the fit and kept in the
    result, which is NaN throughout where too few points are common.
    """
    columns = match_columns(energy_ev, first)
    good = np.isfinite(second) & np.isfinite(columns).all(axis=-2)
    columns, target = np.where(good[..., None, :], columns, 0.0), np.where(good, second, 0.0)
    kept = good
    for _ in range(3):
        weights = least_squares(columns * kept[..., None, :], target)
        residual = np.where(good, target - (weights[..., None, :] @ columns)[..., 0, :], np.nan)
        fewer = np.abs(residual) <= 4.0 * robust_spread(residual)[..., None]
        if np.array_equal(fewer, kept):
            break
        kept = fewer
    enough = np.count_nonzero(kept, axis=-1) >= LEAST_POINTS + columns.shape[-2]
    return np.where(enough[..., None], residual, np.nan)


def match_columns(energy_ev: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """The parts in which two scans of one spot may differ harmlessly: gain, offset, slope, slide.

    (..., 4, points). The curve is counted from its own middle, which tells its gain from an offset.
    """
    finite = np.isfinite(curve)
    count = np.maximum(np.count_nonzero(finite, axis=-1), 1)
    level = curve - (np.sum(curve, axis=-1, where=finite) / count)[..., None]
    tilt = energy_ev - energy_ev.mean(axis=-1, keepdims=True)
    columns = np.ones((*curve.shape[:-1], 4, curve.shape[-1]))
    columns[..., 0, :], columns[..., 2, :], columns[..., 3, :] = level, tilt, slopes(energy_ev, curve)
    return columns


def pooled_noise(energy_ev: np.ndarray, repeats: np.ndarray) -> float:
    """Noise of one point from repeats (scans, points) on common energies.

    Every pair is matched in gain, offset, slope and slide; the spread of what is left, over √2, is
    pooled as a root mean square over pairs. NaN with fewer than two repeats.
    """
    first, second = np.triu_indices(len(repeats), 1)
    spreads = trimmed_spread(matched_difference(energy_ev, repeats[first], repeats[second])) / np.sqrt(2.0)
    finite = spreads[np.isfinite(spreads)]
    return float(np.sqrt(np.mean(finite**2))) if finite.size else float("nan")


def noise_by_level(level: np.ndarray, residual: np.ndarray) -> np.ndarray:
    """Noise at each point as √(a² + b·|level| + c²·level²), fitted to residuals of zero mean.

    Electrometers give a, counters b, an unsteady beam c. The spread is taken in LEVELS bins of
    equal count, blips trimmed away. All (..., points). A constant where points are few.
    """
    shape, points = level.shape, level.shape[-1]
    level, residual = level.reshape(-1, points), residual.reshape(-1, points)
    size = np.where(np.isfinite(level), np.abs(level), 0.0)
    highest = np.max(size, axis=-1, keepdims=True)
    size = size / np.where(highest > 0.0, highest, 1.0)
    residual = np.where(np.isfinite(level), residual, np.nan)
    overall = robust_spread(residual)[:, None]
    unit = np.where(overall > 0.0, overall, 1.0)
    width, heights, residuals = _even_bins(size, residual / unit)
    powers = [np.sum(heights**power, axis=-1) / np.maximum(width, 1) for power in (1, 2)]
    basis = np.stack([np.ones(powers[0].shape), *powers], axis=-2)
    found = np.fmax(trimmed_spread(residuals), QUIETEST_BIN) ** 2
    fitted = np.ones(found.shape)
    for _ in range(2):
        # Weights from the fitted and not the found variance: a bin that is quiet by luck must not lead.
        parts = not_below_zero(basis / fitted[:, None, :], found / fitted)
        fitted = np.maximum((parts[:, None, :] @ basis)[:, 0, :], QUIETEST**2)
    a, b, c = parts.T[:, :, None]
    sigma = unit * np.sqrt(np.maximum(a + b * size + c * size**2, QUIETEST**2))
    return np.where((width >= LEAST_IN_BIN) & (overall > 0.0), sigma, overall).reshape(shape)


def _even_bins(size: np.ndarray, residual: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The count in a bin (curves, 1), and sizes and residuals (curves, LEVELS, points of a bin) by size.

    Points without a residual are left out, and the lowest where there are too many for even bins. Where
    another curve's bins are wider, sizes are filled up with 0 and residuals with NaN.
    """
    known = np.isfinite(residual)
    order = np.argsort(np.where(known, size, np.inf), axis=-1, kind="stable")
    count = np.count_nonzero(known, axis=-1)[:, None]
    width = count // LEVELS
    first = count - LEVELS * width + width * np.arange(LEVELS)
    within = np.arange(max(int(width.max()), 1))
    inside = within < width[:, :, None]
    row = np.arange(len(size))[:, None, None]
    place = order[row, np.minimum(first[:, :, None] + within, size.shape[-1] - 1)]
    return width, np.where(inside, size[row, place], 0.0), np.where(inside, residual[row, place], np.nan)
