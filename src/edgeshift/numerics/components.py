"""Whether a model earns one more component: the F test, its size, and two yardsticks beside it.

A small p is not enough: on NIST's Gauss1 a needless constant reaches p = 0.006. The share of the left-over
that the component explains is therefore always part of the result.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from scipy.special import fdtrc, fdtri


class ComponentTest(NamedTuple):
    """F with its two degrees of freedom and p; `explained` is the share (0..1) of the smaller model's
    left-over sum of squares that the addition takes away; `ratio` is Hamilton's, sqrt(small / big)."""

    f: float
    df_added: int
    df_left: int
    p: float
    explained: float
    ratio: float


def f_test(rss_small: float, df_small: int, rss_big: float, df_big: int) -> ComponentTest:
    """Test of a bigger model that contains a smaller one, from left-over sums of squares.

    Raises ValueError unless the bigger model has fewer degrees of freedom and a left-over above 0.
    """
    if not 0 < df_big < df_small:
        raise ValueError(
            f"the bigger model needs fewer degrees of freedom, found {df_big} against {df_small}"
        )
    if not rss_big > 0:
        raise ValueError(f"an F test needs some left-over in the bigger model, found {rss_big}")
    added = df_small - df_big
    f = max(0.0, (rss_small - rss_big) / added) / (rss_big / df_big)
    explained = max(0.0, 1 - rss_big / rss_small)
    p = float(fdtrc(added, df_big, f))
    return ComponentTest(f, added, df_big, p, explained, math.sqrt(rss_small / rss_big))


def f_quantile(probability: float, df_added: int, df_left: int) -> float:
    """The F that chance stays below with this probability."""
    return float(fdtri(df_added, df_left, probability))


def ratio_limit(alpha: float, df_added: int, df_left: int) -> float:
    """Hamilton's ratio that chance passes with probability alpha (Hamilton 1965, Acta Cryst. 18, 502)."""
    return math.sqrt(1 + df_added * f_quantile(1 - alpha, df_added, df_left) / df_left)


def akaike(rss: float, points: int, parameters: int) -> float:
    """Akaike's criterion, ``n ln(RSS/n) + 2k``: the smaller of two models' values is preferred."""
    return points * math.log(rss / points) + 2 * parameters
