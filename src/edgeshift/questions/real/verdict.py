"""The one place that turns unit curves, and what lies inside them, into chances and bands.

Curves are judged by two bands, each at half the level: the full band on the difference itself, and the
shape band on what is left of it after offset, slope, height and slide were taken from every curve. A
feature is one number and is judged by its plain t. Whatever judges few units better replaces what stands
here and nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.special import stdtr

from edgeshift.numerics.bands import exceedance, height_for, normal_height, t_height
from edgeshift.numerics.local_scatter import (
    Scatter,
    scatter_of,
    usual_directions,
    without,
)
from edgeshift.numerics.two_groups import of_units, t_quantile

POWER = 3
"""How much more the places count where a difference lies farthest out, when it is read along itself."""
ROUNDING = 1e-12
"""Residuals below this are none. Curves are in edge steps, or of mean height one."""
FEWEST_POINTS = 8
"""Below this a curve has no neighbourhoods (our choice, no source)."""
IDENTICAL = "the repeats are identical: no scatter to judge by"


class Band(NamedTuple):
    """A difference and half of its band's width at each point (points,)."""

    difference: np.ndarray
    half_width: np.ndarray


@dataclass(frozen=True)
class Evidence:
    """What one band rests on: difference, standard error and degrees of freedom at each point (points,).

    `length` is the path of the residuals; `along` the chance of the difference read as one number, along
    itself; `own` the degrees of freedom that one point alone has (inf: the noise is known). `words` say why
    it cannot be tested; then the rest is empty.
    """

    difference: np.ndarray
    standard_error: np.ndarray
    freedom: np.ndarray
    length: float
    along: float = 0.0
    own: float = math.inf
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
        anywhere = exceedance(float(np.max(self._heights())), self.length, self.difference.size)
        return max(anywhere, self.along)

    def band(self, alpha: float) -> Band:
        """The simultaneous band at this level.

        Where units wander along the difference about as far as it goes, the band is widened until it holds
        zero: then it excludes zero just where `chance` is below alpha.
        """
        half = self._reach(alpha) * self.standard_error
        if self.along >= alpha:
            half = np.maximum(half, half * np.max(np.abs(self.difference) / half))
        return Band(self.difference, half)

    def would_have_shown(self, alpha: float) -> float:
        """The smallest difference that shows four times in five, where the two now differ most."""
        there = int(np.argmax(np.abs(self.difference)))
        often = t_quantile(0.8, float(self.freedom[there]))
        return float((self._reach(alpha)[there] + often) * self.standard_error[there])

    def farthest(self) -> int:
        """The point that lies farthest out for its own standard error and freedom."""
        return int(np.argmax(self._heights()))

    def _heights(self) -> np.ndarray:
        t = np.divide(
            self.difference,
            self.standard_error,
            out=np.zeros_like(self.difference),
            where=self.standard_error > 0,
        )
        return normal_height(t, self.freedom)

    def _reach(self, alpha: float) -> np.ndarray:
        return t_height(height_for(alpha, self.length, self.difference.size), self.freedom)


@dataclass(frozen=True)
class CurveEvidence:
    """Both bands of a curve. They share the level; where there is no shape band the full one has it all."""

    full: Evidence
    shape: Evidence | None = None

    @property
    def words(self) -> str:
        """Why it cannot be tested."""
        return self.full.words

    @property
    def testable(self) -> bool:
        """Whether there is anything to test with."""
        return self.full.testable

    @property
    def chance(self) -> float:
        """The chance of luck going as far in either band."""
        return min(1.0, len(self._bands) * min(each.chance for each in self._bands))

    def band(self, alpha: float) -> Band:
        """The full band, at its part of this level."""
        return self.full.band(alpha / len(self._bands))

    def shape_band(self, alpha: float) -> Band | None:
        """The shape band at its part; None where there is none."""
        return self.shape.band(alpha / len(self._bands)) if self.shape else None

    def would_have_shown(self, alpha: float) -> float:
        """The smallest difference that shows four times in five in either band, where they differ most."""
        return min(each.would_have_shown(alpha / len(self._bands)) for each in self._bands)

    def farthest(self) -> int:
        """The point that lies farthest out of the full band for its own scatter."""
        return self.full.farthest()

    @property
    def _bands(self) -> tuple[Evidence, ...]:
        return (self.full, self.shape) if self.shape else (self.full,)


def untestable(words: str) -> Evidence:
    """No test, and why."""
    return Evidence(np.zeros(0), np.zeros(0), np.zeros(0), 0.0, words=words)


def curves_between(
    energy_ev: np.ndarray, control: np.ndarray, treated: np.ndarray, paired: bool
) -> CurveEvidence:
    """The treatment's own rung from unit curves (units, points).

    Pairs: mean of the differences. Otherwise both arms' scatter is pooled; unequal numbers of units weigh it
    by arm. One unit in either arm, or one pair, is no test at all.
    """
    missing = _too_few(control, treated, paired) or _no_curve(np.vstack([control, treated]))
    if missing:
        return CurveEvidence(untestable(missing))
    directions = usual_directions(energy_ev, np.vstack([control, treated]).mean(axis=0))
    plain, shapes = ((control, treated), tuple(without(arm, directions) for arm in (control, treated)))
    judge = _of_pairs if paired else _of_arms
    return _both(judge(*plain), lambda: judge(*shapes))


def features_between(control: np.ndarray, treated: np.ndarray, paired: bool) -> Evidence:
    """The treatment's own rung from one number a unit (units,): t of pairs, pooled t, or for unequal numbers
    the wider of pooled and Welch's: each alone promises too much where the smaller arm has two or three.

    It borrows nothing from its neighbourhood: units may differ most just where their chemistry does.
    """
    missing = _too_few(control, treated, paired)
    if missing:
        return untestable(missing)
    found = of_units(treated, control, paired)
    return _number(found.difference, found.standard_error, found.df)


def curves_within(
    energy_ev: np.ndarray, means: np.ndarray, groups: list[np.ndarray], weight: float
) -> CurveEvidence:
    """A rung below the units: the scatter of repeats inside each group (members, points), pooled.

    `means` (2, points) are the arms' curves, control first; `weight` turns the scatter's variance into that
    of their difference.
    """
    rows, df = _inside(groups)
    missing = "" if df else "nothing was repeated: no test"
    missing = missing or _no_curve(np.vstack([means, rows]))
    if missing:
        return CurveEvidence(untestable(missing))
    directions = usual_directions(energy_ev, means.mean(axis=0))
    shape = without(means, directions)
    return _both(
        _pooled(means[1] - means[0], rows, df, weight),
        lambda: _pooled(shape[1] - shape[0], without(rows, directions), df, weight),
    )


def features_within(difference: float, groups: list[np.ndarray], weight: float) -> Evidence:
    """The same for one number: groups (members,)."""
    rows, df = _inside(groups)
    if not df:
        return untestable("nothing was repeated: no test")
    return _number(difference, math.sqrt(float(np.sum(rows**2)) / df * weight), df)


def known_noise(difference: np.ndarray, standard_error: np.ndarray) -> Evidence:
    """Where nothing was repeated but each scan carries its own noise, independent from point to point."""
    if not np.all(np.isfinite(standard_error)) or not np.all(standard_error > 0):
        return untestable("no repeat and no known noise: no test")
    return Evidence(difference, standard_error, np.full(difference.size, math.inf), math.inf)


def _too_few(control: np.ndarray, treated: np.ndarray, paired: bool) -> str:
    if paired:
        return "" if len(control) > 1 else "one pair: no test"
    return "" if min(len(control), len(treated)) > 1 else "one unit in an arm: no test"


def _no_curve(curves: np.ndarray) -> str:
    if curves.shape[1] < FEWEST_POINTS:
        return "too few energies in common: no test"
    return "" if np.all(np.isfinite(curves)) else "a curve has energies without a number: no test"


def _inside(groups: list[np.ndarray]) -> tuple[np.ndarray, int]:
    """Residuals about each group's mean, and their degrees of freedom (0: nothing was repeated)."""
    repeated = [g for g in groups if len(g) > 1]
    if not repeated:
        return np.zeros(0), 0
    rows = np.concatenate([g - g.mean(axis=0) for g in repeated])
    return rows, sum(len(g) - 1 for g in repeated)


def _both(full: Evidence, shape: Callable[[], Evidence]) -> CurveEvidence:
    """Both bands; curves that differ only along the usual directions have no shape to judge."""
    if not full.testable:
        return CurveEvidence(full)
    found = shape()
    return CurveEvidence(full, found if found.testable else None)


def _of_pairs(control: np.ndarray, treated: np.ndarray) -> Evidence:
    gaps = treated - control
    mean = gaps.mean(axis=0)
    return _pooled(mean, gaps - mean, len(gaps) - 1, 1 / len(gaps))


def _of_arms(control: np.ndarray, treated: np.ndarray) -> Evidence:
    arms = (control, treated)
    rows, df = _inside(list(arms))
    difference = treated.mean(axis=0) - control.mean(axis=0)
    counts = np.array([len(arm) for arm in arms])
    if counts[0] == counts[1]:
        return _pooled(difference, rows, df, float(np.sum(1 / counts)))
    scatter = _scatter(rows, df)
    if scatter is None:
        return untestable(IDENTICAL)
    # Welch, but with one ratio of the arms' variances for the whole curve: few units know no more.
    own = np.array([np.mean(arm.var(axis=0, ddof=1) / scatter.variance) for arm in arms])
    own *= df / np.sum(own * (counts - 1))
    parts = own / counts
    freedom = float(np.sum(parts) ** 2 / np.sum(parts**2 / (counts - 1)))
    return _evidence(difference, rows, scatter, float(np.sum(parts)), freedom)


def _pooled(difference: np.ndarray, rows: np.ndarray, df: int, weight: float) -> Evidence:
    scatter = _scatter(rows, df)
    return _evidence(difference, rows, scatter, weight, df) if scatter else untestable(IDENTICAL)


def _scatter(rows: np.ndarray, df: int) -> Scatter | None:
    """None without any scatter, but for the rounding of numbers."""
    return scatter_of(rows, df) if np.max(np.abs(rows)) > ROUNDING else None


def _evidence(
    difference: np.ndarray, rows: np.ndarray, scatter: Scatter, weight: float, own: float
) -> Evidence:
    error = np.sqrt(scatter.variance * weight)
    along = _along(difference, rows, scatter, weight, own)
    return Evidence(difference, error, scatter.freedom(own), scatter.length, along, own)


def _along(difference: np.ndarray, rows: np.ndarray, scatter: Scatter, weight: float, own: float) -> float:
    """The chance of the difference as one number: read along itself, most where it is farthest out.

    Units that wander in one way, as by their share of another phase, have wandered far along the very
    difference that they feign. No neighbourhood sees that, but the number does, and its t is exact there.
    """
    deviation = np.sqrt(scatter.variance)
    direction = (difference / deviation) ** POWER / deviation
    error = math.sqrt(float(np.sum((rows @ direction) ** 2)) / scatter.df * weight)
    number = abs(float(difference @ direction))
    return 2 * float(stdtr(own, -number / error)) if error > 0 else 1.0


def _number(difference: float, error: float, df: float) -> Evidence:
    if not error > 0:
        return untestable("the units are identical: no scatter to judge by")
    return Evidence(np.array([difference]), np.array([error]), np.array([float(df)]), 0.0, own=float(df))
