"""How much few curves scatter at each point, learnt from the neighbourhood of the point.

Two or three curves know their scatter at one energy badly, but neighbouring energies scatter alike. So the
variance is averaged over a wide neighbourhood, and where the close neighbourhood scatters more than that,
the excess is added. How many degrees of freedom such an average has follows from how alike the curves'
wanderings are at different points. Every constant was chosen on seeds of its own and measured on others:
docs/why/few-units.md.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.bands import path_length

WIDE, CLOSE = 0.15, 0.01
"""Standard deviations of the two Gaussian neighbourhoods, as shares of the curve's points."""


class Scatter(NamedTuple):
    """What residual curves say about their scatter at each point.

    `wide` (points,) is the variance of the wide neighbourhood, `excess` (points,) what the close one has on
    top, `alike` (points,) the share of one curve's freedom that a wide average still costs (1: all points
    move as one), `length` the path, `df` the residuals' own degrees of freedom.
    """

    wide: np.ndarray
    excess: np.ndarray
    alike: np.ndarray
    length: float
    df: float

    @property
    def variance(self) -> np.ndarray:
        """Variance of one curve at each point (points,)."""
        return self.wide + self.excess

    def freedom(self, own: float) -> np.ndarray:
        """Degrees of freedom of the variance (points,), if one point alone has `own`.

        The wide part has more of them, the excess only its own. Both come from the same curves, so their
        errors add in full and not in squares (Satterthwaite 1946 would have squares; cited from memory).
        """
        error = self.wide / np.sqrt(own / self.alike) + self.excess / math.sqrt(own)
        return (self.variance / error) ** 2


def scatter_of(residuals: np.ndarray, df: int) -> Scatter:
    """Scatter of residual curves (rows, points) with `df` degrees of freedom at each point.

    Points are counted, not energies: a scan is dense where its curve has most to show. Raises ValueError
    where the residuals are zero everywhere.
    """
    square = np.sum(residuals**2, axis=0) / df
    if not np.any(square > 0):
        raise ValueError("residuals that are zero everywhere have no scatter")
    wide = _neighbourhood(square.size, WIDE) @ square
    excess = np.maximum(0.0, _neighbourhood(square.size, CLOSE) @ square - wide)
    variance = wide + excess
    alike = _alike(residuals / np.sqrt(variance), df)
    return Scatter(wide, excess, alike, path_length(residuals, variance, df), df)


def without(curves: np.ndarray, directions: np.ndarray) -> np.ndarray:
    """Curves (rows, points) after directions (few, points) were fitted to each and taken away."""
    basis, _ = np.linalg.qr(directions.T)
    return curves - (curves @ basis) @ basis.T


def usual_directions(energy_ev: np.ndarray, mean: np.ndarray) -> np.ndarray:
    """Offset, slope, height and slide of a mean curve (points,): directions (4, points).

    Unit curves differ most along these, for reasons of mounting and scaling rather than of chemistry.
    """
    return np.vstack([np.ones_like(mean), energy_ev, mean, np.gradient(mean, energy_ev)])


def _alike(scaled: np.ndarray, df: int) -> np.ndarray:
    """Mean squared correlation between points of one wide neighbourhood (points,), at most 1.

    From the likeness along the curve (by lag) and, where that is larger, from the likeness of whole curves,
    which also sees points far apart move together. Raised, for only `df` curves told it.
    """
    lags = _squared_lag_correlation(scaled)
    by_lag = _lag_weights(scaled.shape[1], WIDE) @ lags
    return np.minimum(1.0, raised(df) * np.maximum(by_lag, _whole_likeness(scaled, df)))


def raised(df: int) -> float:
    """How much larger the likeness is taken to be than `df` curves show it: few know it badly."""
    return 1 + 1 / df**2


def _squared_lag_correlation(scaled: np.ndarray) -> np.ndarray:
    """Squared correlation (points,) of points that lie 0, 1, 2, ... apart, pooled over the curve."""
    points = scaled.shape[1]
    power = np.sum(np.abs(np.fft.rfft(scaled, 2 * points, axis=1)) ** 2, axis=0)
    products = np.fft.irfft(power, 2 * points)[:points] / (points - np.arange(points))
    return np.clip(products / products[0], -1.0, 1.0) ** 2


def _whole_likeness(scaled: np.ndarray, df: int) -> float:
    """Mean squared correlation over all pairs of points, freed from what few curves fake; 0 at df 1.

    Two points of correlation rho have a product whose square is (1 + (df + 1) rho^2) / df on average; solved
    for rho^2. The last term in the divisor is what scaling by the same curves takes away.
    """
    if df == 1:
        return 0.0
    products = scaled @ scaled.T
    products *= df / np.trace(products)
    mean_square = float(np.sum(products**2)) / df**2
    return min(1.0, max(0.0, (df * mean_square - 1) / (df + 1 - 2 * mean_square)))


@lru_cache(maxsize=16)
def _neighbourhood(points: int, share: float) -> np.ndarray:
    """Gaussian weights (points, points); each row adds up to one."""
    place = np.arange(points) / points
    weights = np.exp(-0.5 * ((place[:, None] - place) / share) ** 2)
    return weights / weights.sum(axis=1, keepdims=True)


@lru_cache(maxsize=8)
def _lag_weights(points: int, share: float) -> np.ndarray:
    """How often two draws from a neighbourhood lie 0, 1, 2, ... points apart (points, points)."""
    power = np.abs(np.fft.rfft(_neighbourhood(points, share), 2 * points, axis=1)) ** 2
    apart = np.fft.irfft(power, 2 * points, axis=1)[:, :points]
    apart[:, 1:] *= 2
    return apart
