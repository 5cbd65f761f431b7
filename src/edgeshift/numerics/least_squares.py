"""Least squares of a few columns for many curves at once, by the normal equations. Arrays only."""

from __future__ import annotations

import itertools
from functools import lru_cache

import numpy as np

RIDGE = 1e-12
"""Added to the diagonal for columns of length one, so that parts that cannot be told apart share."""


def least_squares(columns: np.ndarray, target: np.ndarray) -> np.ndarray:
    """Weights (..., parts) of `columns` (..., parts, points) that come nearest to `target` (..., points).

    Columns may be in any unit, but not nearly the same: they are scaled to length one, and the normal
    equations square what is left of their likeness.
    """
    normal, right, length = _normal(columns, target)
    return np.linalg.solve(normal, right[..., None])[..., 0] / length


def unit_errors(columns: np.ndarray) -> np.ndarray:
    """Standard errors (..., parts) of such weights for noise of one in every point."""
    normal, _, length = _normal(columns, columns[..., 0, :])
    return np.sqrt(np.diagonal(np.linalg.inv(normal), axis1=-2, axis2=-1)) / length


def not_below_zero(columns: np.ndarray, target: np.ndarray) -> np.ndarray:
    """The same where no weight may fall below zero: the best of all choices of columns that keep to it.

    For two or three columns; the number of choices doubles with each.
    """
    normal, right, length = _normal(columns, target)
    choices, both, alone = _choices(columns.shape[-2])
    chosen = np.where(both, normal[..., None, :, :], alone)
    wanted = np.where(choices, right[..., None, :], 0.0)
    weights = np.linalg.solve(chosen, wanted[..., None])[..., 0]
    # What a choice takes off the sum of squares; nothing at all may be best.
    gain = np.where((weights >= 0.0).all(axis=-1), np.sum(weights * wanted, axis=-1), 0.0)
    best = np.argmax(gain, axis=-1)[..., None, None]
    found = np.take_along_axis(weights, best, -2)[..., 0, :]
    return np.maximum(found, 0.0) / length


@lru_cache(maxsize=8)
def _choices(parts: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """All choices of columns but none at all, which pairs each holds, and the identity for the others."""
    choices = np.array(list(itertools.product((False, True), repeat=parts))[1:])
    return choices, choices[:, :, None] & choices[:, None, :], np.eye(parts)


def _normal(columns: np.ndarray, target: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Normal matrix and right side for columns of length one, and their lengths."""
    length = np.sqrt(np.sum(columns**2, axis=-1))
    length = np.where(length > 0.0, length, 1.0)
    scaled = columns / length[..., None]
    normal = scaled @ np.swapaxes(scaled, -1, -2)
    normal += RIDGE * np.eye(columns.shape[-2])
    return normal, (scaled @ target[..., None])[..., 0], length
