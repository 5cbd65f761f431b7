"""Counters miss what arrives while they are busy: the loss undone, and what is then known of the rate.

Non-paralysable (the counter is blind for a fixed time after each count): ``n = m / (1 - m tau)``.
Paralysable (each arrival, counted or not, starts the blind time anew): ``m = n exp(-n tau)``, which has
two answers for every measured rate below its maximum and none above.
"""

from __future__ import annotations

import math

import numpy as np


def lost_share(rate: np.ndarray, dead_time_s: float, dead_share: np.ndarray | float) -> np.ndarray:
    """Share of the arrivals that the counter missed, same shape as `rate` (measured, per second).

    Either `dead_time_s` (non-paralysable, seconds) or `dead_share` (0..1, as the detector reported it)
    describes the loss; the other must be 0. Points where no true rate exists (share of 1 or more, or
    negative) are NaN. Raises ValueError for a negative dead time, or for both at once.
    """
    if not dead_time_s >= 0:
        raise ValueError(f"a dead time must be 0 s or longer, found {dead_time_s}")
    if dead_time_s > 0 and np.any(np.asarray(dead_share) > 0):
        raise ValueError("a loss is undone once: a dead time or a dead share was needed, found both")
    share = np.asarray(rate, float) * dead_time_s + dead_share
    return np.where((share < 1) & (np.asarray(dead_share) >= 0), share, np.nan)


def live_rate(rate: np.ndarray, dead_time_s: float, dead_share: np.ndarray | float) -> np.ndarray:
    """True rates per second from measured ones; arguments, NaN and errors as in `lost_share`."""
    return rate / (1 - lost_share(rate, dead_time_s, dead_share))


def live_rate_sigma(
    rate: np.ndarray, dwell_s: np.ndarray | float, dead_time_s: float, dead_share: np.ndarray | float
) -> np.ndarray:
    """Standard deviation of the true rate, per second: ``sqrt(m / T) / (1 - lost share)``.

    That is sqrt(counts) times the correction factor, no more: a counter with dead time counts more
    evenly than chance, so its counts scatter by ``sqrt(M) (1 - m tau)`` and the slope ``1/(1 - m tau)^2``
    of the correction brings back only one factor (renewal counting; ORTEC eq. 19,
    ``sigma_Q^2 = Q (Q/q)``). Fewer than one count is known no better than one count.
    """
    counts = np.maximum(np.asarray(rate, float) * dwell_s, 1.0)
    return np.sqrt(counts) / dwell_s / (1 - lost_share(rate, dead_time_s, dead_share))


def measured_rate(true_rate: np.ndarray, dead_time_s: float) -> np.ndarray:
    """What a non-paralysable counter shows of a true rate (both per second)."""
    return true_rate / (1 + np.asarray(true_rate, float) * dead_time_s)


def paralysable_measured_rate(true_rate: np.ndarray, dead_time_s: float) -> np.ndarray:
    """What a paralysable counter shows of a true rate (both per second)."""
    return true_rate * np.exp(-np.asarray(true_rate, float) * dead_time_s)


def greatest_paralysable_rate(dead_time_s: float) -> float:
    """The highest rate a paralysable counter can show, per second: ``1 / (e tau)``, at a true 1/tau."""
    return 1 / (math.e * dead_time_s)


def paralysable_rates(rate: np.ndarray, dead_time_s: float) -> tuple[np.ndarray, np.ndarray]:
    """Both true rates that give each measured rate: (below the maximum, beyond it), per second.

    The counts alone cannot tell which one holds, so both come back. Raises ValueError where any measured
    rate lies above the maximum: no true rate gives it, so the dead time or the kind of counter is wrong.
    """
    from scipy.special import lambertw

    greatest = greatest_paralysable_rate(dead_time_s)
    rate = np.asarray(rate, float)
    if np.any(rate > greatest):
        raise ValueError(f"at most {greatest:.1f} per second can be counted, found {np.nanmax(rate):.1f}")
    with np.errstate(invalid="ignore"):
        return tuple(-lambertw(-rate * dead_time_s, branch).real / dead_time_s for branch in (0, -1))
