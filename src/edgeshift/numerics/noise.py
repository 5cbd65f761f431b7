"""How noisy a curve is, read from the curve itself or from its repeats. Arrays only."""

from __future__ import annotations

import numpy as np

MAD_TO_SIGMA = 1.4826
"""Ratio of a Gaussian's standard deviation to its median absolute deviation, 1/Φ⁻¹(3/4)."""
LEVELS = 8
"""Bins of equal count, by level, in which noise is measured."""
LEAST_POINTS = 5
"""With fewer residuals a robust spread says nothing."""


def robust_spread(residual: np.ndarray) -> float:
    """Standard deviation of residuals about zero, from their median size; NaN when too few are finite."""
    finite = residual[np.isfinite(residual)]
    if finite.size < LEAST_POINTS:
        return float("nan")
    return float(MAD_TO_SIGMA * np.median(np.abs(finite)))


def trimmed_spread(residual: np.ndarray) -> float:
    """Standard deviation about zero without what lies beyond three of them; sharper than the median.

    NaN when too few residuals are finite.
    """
    finite = residual[np.isfinite(residual)]
    return float(trimmed_spreads(finite[None])[0]) if finite.size >= LEAST_POINTS else float("nan")


def trimmed_spreads(rows: np.ndarray) -> np.ndarray:
    """The same for each row of (rows, points), all finite: (rows,).

    A Gaussian cut at ±3σ keeps 0.9866 of its standard deviation; the result is scaled back by that.
    """
    size = np.abs(rows)
    spreads = MAD_TO_SIGMA * np.median(size, axis=1)
    square = size**2
    for _ in range(4):
        kept = size <= 3.0 * spreads[:, None]
        spreads = np.sqrt((square * kept).sum(axis=1) / np.maximum(kept.sum(axis=1), 1)) / 0.9866
    return spreads


def line_residuals(energy_ev: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Each inner point minus the line through its two neighbours, scaled to the noise of one point.

    For even steps this is the second difference over √6. Shape (points - 2,); NaN where energies
    repeat. Energies may rise or fall.
    """
    before, after = np.diff(energy_ev)[:-1], np.diff(energy_ev)[1:]
    whole = np.where(before + after == 0.0, np.nan, before + after)
    share_after = before / whole
    middle = value[1:-1] - (1.0 - share_after) * value[:-2] - share_after * value[2:]
    return middle / np.sqrt(1.0 + share_after**2 + (1.0 - share_after) ** 2)


def single_scan_noise(energy_ev: np.ndarray, value: np.ndarray) -> float:
    """Noise of one point from one curve alone: 1.4826·MAD(Δ²y)/√6, extended to uneven steps.

    A fallback: columns that were filtered, binned or rounded make it too small, sharp lines too large.
    """
    if value.size < LEAST_POINTS + 2:
        return float("nan")
    return robust_spread(line_residuals(energy_ev, value))


def matched_difference(energy_ev: np.ndarray, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """`second` minus the best gain·first + offset + slope·E + slide·dfirst/dE; NaN where either is NaN.

    Points beyond four spreads are left out of the fit and kept in the result.
    """
    columns = match_columns(energy_ev, first)
    good = np.isfinite(second) & np.isfinite(columns).all(axis=1)
    residual = np.full(first.shape, np.nan)
    kept = good.copy()
    for _ in range(4):
        if kept.sum() < LEAST_POINTS + columns.shape[1]:
            return residual
        weights = np.linalg.lstsq(columns[kept], second[kept], rcond=None)[0]
        residual[good] = second[good] - columns[good] @ weights
        spread = robust_spread(residual[good] - np.median(residual[good]))
        fewer = good & (np.abs(np.nan_to_num(residual)) <= 4.0 * spread + 1e-300)
        if np.array_equal(fewer, kept):
            break
        kept = fewer
    return residual


def match_columns(energy_ev: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """The parts in which two scans of one spot may differ harmlessly: gain, offset, slope, slide."""
    centred = (energy_ev - energy_ev.mean()) / max(np.ptp(energy_ev), 1e-9)
    return np.stack([curve, np.ones_like(curve), centred, np.gradient(curve, energy_ev)], axis=1)


def pooled_noise(energy_ev: np.ndarray, repeats: np.ndarray) -> float:
    """Noise of one point from repeats (scans, points) on common energies.

    Every pair is matched in gain, offset, slope and slide; the spread of what is left, over √2, is
    pooled as a root mean square over pairs. NaN with fewer than two repeats.
    """
    spreads = [
        trimmed_spread(matched_difference(energy_ev, repeats[i], repeats[j])) / np.sqrt(2.0)
        for i in range(len(repeats))
        for j in range(i + 1, len(repeats))
    ]
    finite = np.array([s for s in spreads if np.isfinite(s)])
    return float(np.sqrt(np.mean(finite**2))) if finite.size else float("nan")


def noise_by_level(level: np.ndarray, residual: np.ndarray) -> np.ndarray:
    """Noise at each point as √(a² + b·|level| + c²·level²), fitted to residuals of zero mean.

    Electrometers give a, counters b, an unsteady beam c. The spread is taken in LEVELS bins of
    equal count, blips trimmed away. Shape (points,). A constant where points are few.
    """
    from scipy.optimize import nnls

    size = np.abs(np.nan_to_num(level))
    good = np.flatnonzero(np.isfinite(residual) & np.isfinite(level))
    overall = trimmed_spread(residual[good])
    if good.size < 8 * LEVELS or not overall > 0:
        return np.full(level.shape, overall)
    even = good[np.argsort(size[good], kind="stable")][good.size % LEVELS :].reshape(LEVELS, -1)
    scale = max(float(size[good].max()), 1e-300)
    variance = np.maximum(trimmed_spreads(residual[even]), 0.2 * overall) ** 2
    level = size[even] / scale
    basis = np.stack([np.ones(LEVELS), level.mean(axis=1), (level**2).mean(axis=1)], axis=1)
    weight = np.full(LEVELS, overall**2)
    for _ in range(3):
        # Weights from the fitted and not the found variance: a bin that is quiet by luck must not lead.
        parts = nnls(basis / weight[:, None], variance / weight)[0]
        weight = np.maximum(basis @ parts, (0.3 * overall) ** 2)
    fitted = np.stack([np.ones_like(size), size / scale, (size / scale) ** 2], axis=-1) @ parts
    return np.sqrt(np.maximum(fitted, (0.3 * overall) ** 2))
