"""The one place that turns unit curves, and what lies inside them, into chances and bands.

A feature is a curve of one point, so both go through the same closed form: with one point the band is the
plain t interval. Whatever judges few units better replaces what stands here and nothing else.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from edgeshift.numerics.bands import Band, farthest_chance, finish, path_length
from edgeshift.numerics.two_groups import t_quantile, welch_t


@dataclass(frozen=True)
class Evidence:
    """What one rung rests on: difference and its standard error (points,), residual path, freedom.

    `chance` is how often luck alone goes as far anywhere; `words` say why it cannot be tested (then the
    rest is empty).
    """

    difference: np.ndarray
    standard_error: np.ndarray
    length: float
    df: float
    words: str = ""

    @property
    def testable(self) -> bool:
        """Whether there is anything to test with."""
        return not self.words

    @property
    def chance(self) -> float:
        """The chance of luck going as far as this anywhere; 1.0 where nothing can be tested."""
        if not self.testable:
            return 1.0
        return farthest_chance(self.difference, self.standard_error, self.length, self.df)

    def band(self, alpha: float) -> Band:
        """The simultaneous band at this level."""
        return finish(self.difference, self.standard_error, self.length, self.df, alpha)

    def would_have_shown(self, alpha: float) -> float:
        """The smallest difference that shows four times in five, where the two now differ most."""
        often = t_quantile(0.8, self.df)
        there = int(np.argmax(np.abs(self.difference)))
        return float((self.band(alpha).multiplier + often) * self.standard_error[there])

    def farthest(self) -> int:
        """The point that lies farthest out for its own standard error."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return int(
                np.nanargmax(
                    np.where(self.standard_error > 0, np.abs(self.difference) / self.standard_error, 0)
                )
            )


def untestable(words: str) -> Evidence:
    """No test, and why."""
    return Evidence(np.zeros(0), np.zeros(0), 0.0, 0.0, words)


def between_units(control: np.ndarray, treated: np.ndarray, paired: bool) -> Evidence:
    """The treatment's own rung. Unit curves (units, points), or features as (units, 1).

    Pairs: mean of the differences, n - 1 degrees of freedom. Otherwise curves pool both arms' variance and
    a single feature takes Welch's. One unit in either arm, or one pair, is no test at all.
    """
    if paired:
        return _one_sample(treated - control)
    if len(control) < 2 or len(treated) < 2:
        return untestable("one unit in an arm: no test")
    difference = treated.mean(axis=0) - control.mean(axis=0)
    if control.shape[1] == 1:
        return _welch(control, treated)
    rows = np.vstack([control - control.mean(axis=0), treated - treated.mean(axis=0)])
    return _pooled(difference, rows, len(rows) - 2, 1 / len(control) + 1 / len(treated))


def within_units(difference: np.ndarray, groups: list[np.ndarray], weight: float) -> Evidence:
    """A rung below the units: the scatter of repeats inside each group (members, points), pooled.

    `weight` turns that scatter's variance into the variance of the difference.
    """
    repeated = [g for g in groups if len(g) > 1]
    if not repeated:
        return untestable("nothing was repeated: no test")
    rows = np.vstack([g - g.mean(axis=0) for g in repeated])
    return _pooled(difference, rows, sum(len(g) - 1 for g in repeated), weight)


def known_noise(difference: np.ndarray, standard_error: np.ndarray) -> Evidence:
    """Where nothing was repeated but each scan carries its own noise, independent from point to point."""
    if not np.all(np.isfinite(standard_error)) or not np.all(standard_error > 0):
        return untestable("no repeat and no known noise: no test")
    return Evidence(difference, standard_error, math.inf, math.inf)


def _one_sample(differences: np.ndarray) -> Evidence:
    pairs = len(differences)
    if pairs < 2:
        return untestable("one pair: no test")
    mean = differences.mean(axis=0)
    return _pooled(mean, differences - mean, pairs - 1, 1 / pairs)


def _pooled(difference: np.ndarray, rows: np.ndarray, df: int, weight: float) -> Evidence:
    error = np.sqrt(np.sum(rows**2, axis=0) / df * weight)
    if not np.any(error > 0):
        return untestable("the repeats are identical: no scatter to judge by")
    return Evidence(difference, error, path_length(rows), float(df))


def _welch(control: np.ndarray, treated: np.ndarray) -> Evidence:
    found = welch_t(treated[:, 0], control[:, 0])
    if not found.standard_error > 0:
        return untestable("the units are identical: no scatter to judge by")
    return Evidence(np.array([found.difference]), np.array([found.standard_error]), 0.0, found.df)
