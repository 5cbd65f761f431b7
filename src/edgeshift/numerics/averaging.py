"""Averages that know what is missing."""

from __future__ import annotations

import numpy as np


def mean_of(rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Unweighted mean over rows (rows, points) and how many rows had a number at each point.

    A point that no row has stays missing (NaN, 0).
    """
    there = np.isfinite(rows)
    count = there.sum(axis=0)
    total = np.where(there, rows, 0.0).sum(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(count > 0, total / count, np.nan), count


def sigma_of_mean(sigmas: np.ndarray) -> np.ndarray:
    """Independent error of the unweighted mean, from each row's own error (rows, points)."""
    there = np.isfinite(sigmas)
    count = there.sum(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(count > 0, np.sqrt(np.where(there, sigmas**2, 0.0).sum(axis=0)) / count, np.nan)
