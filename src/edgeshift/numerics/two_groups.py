"""The mean of one group against another: pooled, Welch and paired t, two-sided, and limits of t."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from scipy.special import ndtri, stdtr, stdtrit


class MeanTest(NamedTuple):
    """A difference of means with its standard error, t, degrees of freedom and two-sided p."""

    difference: float
    standard_error: float
    t: float
    df: float
    p: float


def pooled_t(first: np.ndarray, second: np.ndarray) -> MeanTest:
    """Mean of the first less the second, one variance for both. ValueError below three numbers in all."""
    df = len(first) + len(second) - 2
    if min(len(first), len(second)) < 1 or df < 1:
        raise ValueError(
            f"a pooled t needs three numbers in two groups, found {len(first)} and {len(second)}"
        )
    squares = sum(float(np.sum((g - np.mean(g)) ** 2)) for g in (first, second))
    error = math.sqrt(squares / df * (1 / len(first) + 1 / len(second)))
    return _test(float(np.mean(first) - np.mean(second)), error, df)


def welch_t(first: np.ndarray, second: np.ndarray) -> MeanTest:
    """Mean of the first less the second, each with its own variance. ValueError below two numbers each."""
    if min(len(first), len(second)) < 2:
        raise ValueError(f"a Welch t needs two numbers in each group, found {len(first)} and {len(second)}")
    parts = [float(np.var(group, ddof=1)) / len(group) for group in (first, second)]
    total = sum(parts)
    spent = parts[0] ** 2 / (len(first) - 1) + parts[1] ** 2 / (len(second) - 1)
    df = total**2 / spent if spent > 0 else len(first) + len(second) - 2
    return _test(float(np.mean(first) - np.mean(second)), math.sqrt(total), df)


def paired_t(first: np.ndarray, second: np.ndarray) -> MeanTest:
    """Mean within-pair difference, first less second. Raises ValueError unless two pairs or more match."""
    if len(first) != len(second) or len(first) < 2:
        raise ValueError(f"a paired t needs two whole pairs, found {len(first)} and {len(second)} numbers")
    gaps = np.asarray(first, float) - np.asarray(second, float)
    return _test(float(gaps.mean()), float(gaps.std(ddof=1)) / math.sqrt(len(gaps)), len(gaps) - 1)


def of_units(first: np.ndarray, second: np.ndarray, paired: bool) -> MeanTest:
    """Mean of first minus second, from one number a unit: t of pairs, pooled t, or for unequal numbers the
    wider of pooled and Welch's: each alone promises too much where the smaller group has two or three."""
    if paired:
        return paired_t(first, second)
    if first.size == second.size:
        return pooled_t(first, second)
    tests = (pooled_t(first, second), welch_t(first, second))
    return max(tests, key=lambda test: test.standard_error * t_quantile(0.975, test.df))


def t_quantile(probability: float, df: float) -> float:
    """The t that chance stays below with this probability; df may be inf (known noise)."""
    return float(ndtri(probability) if math.isinf(df) else stdtrit(df, probability))


def sidak_limit(alpha: float, count: int, df: float) -> float:
    """How far the farthest of `count` independent t values goes with probability alpha by chance alone."""
    each = -math.expm1(math.log1p(-alpha) / count)
    return -t_quantile(each / 2, df)


def _test(difference: float, error: float, df: float) -> MeanTest:
    """Without any scatter there is no t (NaN) and no p (NaN): equal numbers carry no error estimate."""
    if error == 0:
        return MeanTest(difference, 0.0, math.nan, float(df), math.nan)
    t = difference / error
    return MeanTest(difference, error, t, float(df), 2 * float(stdtr(df, -abs(t))))
