"""How a load lock pumps down: when a typed pressure will be reached, and what the shape of the fall says.

Past the first seconds a load's pressure is a sum: water leaving metal and glass falls about as 1/t, gas
diffusing out of polymers or pores about as t^-1/2 (outgassing review, doi 10.5757/ASCT.2017.26.5.95), and a
leak does not fall at all. Every mixture of the three on a grid, with every late start of the log, is weighed
by how well it fits; the forecast is the spread of all of them, never the best one alone.
"""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

import numpy as np

FEWEST = 8
"""Readings; from fewer the shape of a fall cannot be told from the gauge's own scatter."""
MOST_SCATTER = 0.30
"""Of the logarithm; a gauge that jumps more from reading to reading carries no forecast."""
MOST = 160
"""Readings that are weighed; a denser log is thinned, for neighbours say the same."""
FAST = np.array([0.82, 0.91, 1.0, 1.09, 1.18])
"""Powers of what leaves fast."""
SLOW = 0.5
"""Power of what leaves slowly, by diffusion."""
SLOWS = np.array([0.0, 0.08, 0.18, 0.3, 0.45, 0.6, 0.75, 0.88, 1.0])
"""Share of the slow gas in what still leaves at the last reading."""
FLOORS = np.array([0.0, 0.03, 0.07, 0.12, 0.18, 0.25, 0.33, 0.42, 0.52, 0.62, 0.72, 0.81, 0.88, 0.93, 0.97])
"""Share of the present pressure that will not leave. A floor of nothing weighs as much as all others."""
LATE = np.array([0.25, 0.75, 1.25, 2.2, 3.7, 5.7, 8.2, 11.0, 15.0, 20.0, 27.0, 36.0])
"""Minutes of pumping before the first reading, where nobody said when pumping began."""
LATE_MEAN = 10.0
WANDER = 0.12
"""How much slower or faster the fall may become (relative, standard deviation). With JUMP it was set on other
seeds than those that count, see benchmarks/pumping_rates.py."""
JUMP = 0.10
"""A gauge's own step still to come, in units of the logarithm (standard deviation)."""
JUMPS_WITHIN = 0.2
"""Logarithm of time over time so far within which it mostly comes."""
NODES, NODE_WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
AHEAD = np.linspace(0.0, 6.0, 121)
"""Logarithms of time over the time pumped so far at which a fall is followed: to 400 times as long."""
STEP_AT, STEP_LEAST, STEP_SIDE, MOST_STEPS = 5.0, 0.07, 6, 6
"""A step of the gauge: so many sigma, at least so large (7 %), seen on so many readings at either side."""

MEDIAN_SIGMA = 1.2533
"""Sigma of a median over that of a mean, for normal scatter: the square root of pi / 2."""
ROUNDED = 12**-0.5
"""Sigma of what rounding takes away, in steps of the last digit: an even spread over one step."""


class Shapes(NamedTuple):
    """Every shape of the grid and how much it weighs.

    fast (power), slow (share of slow gas in what leaves now), floor (share of the present pressure), before
    (minutes of pumping before the first reading) and weight, each (shapes,), weights adding up to one;
    `level` (shapes,) is the logarithm of the present pressure without the gauge's scatter. `scatter` is that
    scatter (of the logarithm); `steps` are the readings at which the gauge jumped; `first` and `now` the
    minutes of the first and the last reading on the log's own clock.
    """

    fast: np.ndarray
    slow: np.ndarray
    floor: np.ndarray
    before: np.ndarray
    weight: np.ndarray
    level: np.ndarray
    scatter: float
    steps: tuple[int, ...]
    first: float
    now: float

    @property
    def lasted(self) -> np.ndarray:
        """Minutes of pumping up to the last reading (shapes,)."""
        return self.before + self.now - self.first

    def share(self, chosen: np.ndarray) -> float:
        """Weight of some of the shapes."""
        return float(self.weight[chosen].sum())

    def mean(self, values: np.ndarray) -> float:
        """Weighted mean of a number that every shape has (shapes,)."""
        return float(self.weight @ values)

    def pressure(self, ahead: np.ndarray, at: tuple[float, ...]) -> np.ndarray:
        """Quantiles `at` of the pressure (len(at), minutes), mbar, `ahead` minutes after the last reading."""
        likely = self._likely()
        found = []
        for minutes in ahead:
            later = np.log1p(minutes / likely.lasted)[:, None] / np.exp(WANDER * NODES)
            log = likely.level[:, None] + likely.fall(later)
            values = log[:, :, None] + _stepped(later)[:, :, None] * NODES
            weight = likely.weight[:, None, None] * NODE_WEIGHTS[:, None] * NODE_WEIGHTS
            found.append(np.exp(_quantiles(values, weight, at)))
        return np.array(found).T

    def minutes_to(self, limit_mbar: float, at: tuple[float, ...]) -> tuple[float, ...]:
        """Quantiles `at` of the minutes from the last reading until the limit is reached; inf: never."""
        likely = self._likely()
        fall = likely.fall(np.broadcast_to(AHEAD, (len(likely.level), len(AHEAD))))
        wanted = np.log(limit_mbar) - likely.level
        later = np.array([_first_below(fall + _stepped(AHEAD) * node, wanted) for node in NODES]).T
        minutes = likely.lasted[:, None, None] * np.expm1(later[:, :, None] * np.exp(WANDER * NODES))
        weight = likely.weight[:, None, None] * NODE_WEIGHTS[:, None] * NODE_WEIGHTS
        return tuple(max(0.0, found) for found in _quantiles(minutes, weight, at))

    def _likely(self) -> Shapes:
        """Without the shapes that weigh nothing."""
        kept = self.weight > 1e-5 * self.weight.max()
        return self._replace(
            **{name: getattr(self, name)[kept] for name in ("fast", "slow", "floor", "before", "level")},
            weight=self.weight[kept] / self.weight[kept].sum(),
        )

    def fall(self, later: np.ndarray) -> np.ndarray:
        """Logarithm of pressure over present pressure (shapes, n) at logarithms of time over time so far."""
        part = self.slow[:, None] * np.exp(-SLOW * later)
        part = part + (1 - self.slow[:, None]) * np.exp(-self.fast[:, None] * later)
        return np.log(self.floor[:, None] + (1 - self.floor[:, None]) * part)


class Rise(NamedTuple):
    """One isolation: the pressure's rise with the pump shut off, mbar/s, and its sigma."""

    mbar_per_s: float
    sigma: float


def weigh(minutes: np.ndarray, mbar: np.ndarray, began_known: bool) -> Shapes:
    """Every shape that a pump-down may have, weighed by the readings: minutes (n,), mbar (n,).

    `began_known` says that the minutes count from when pumping began. Raises ValueError for readings that
    are too few, not positive, not in the order of time, or that have not fallen; its first word says which:
    few, order, jumps or rising.
    """
    minutes, mbar = np.asarray(minutes, float), np.asarray(mbar, float)
    _check(minutes, mbar, began_known)
    chosen = np.unique(np.linspace(0, len(minutes) - 1, MOST).round().astype(int))
    minutes, log = minutes[chosen], np.log(mbar[chosen])
    grid = _grid(np.array([minutes[0]]) if began_known else LATE)
    shape = _shape(grid, minutes)
    steps: tuple[int, ...] = ()
    kept = np.ones(len(log))
    for _ in range(MOST_STEPS + 2):
        away, level = _left(log - shape, steps, kept)
        best = away[np.argmin((kept * away**2).sum(axis=1))]
        scatter = _scatter(best)
        kept = 1 / (1 + (best / (3 * scatter)) ** 2)
        found = _steps(best, scatter, steps)
        if found == steps:
            break
        steps = found
    fast, slow, floor, before = grid
    like = _log_likelihood(away, kept, scatter, len(steps)) + _prior(floor, before, began_known)
    weight = np.exp(like - like.max())
    return Shapes(
        fast, slow, floor, before, weight / weight.sum(), level, scatter,
        tuple(int(chosen[step]) for step in steps), float(minutes[0]), float(minutes[-1]),
    )  # fmt: skip


def rise(seconds: np.ndarray, mbar: np.ndarray) -> Rise:
    """The straight line through an isolation's readings (two or more); of two its sigma is not known: 0.

    However straight, the rise is known no better than the readings' own last digit lets it be.
    """
    seconds, mbar = np.asarray(seconds, float), np.asarray(mbar, float)
    if len(seconds) < 2 or np.ptp(seconds) <= 0:
        raise ValueError(f"a rise needs two readings at two times, found {len(seconds)}")
    x = seconds - seconds.mean()
    slope = float(x @ mbar / (x @ x))
    if len(seconds) == 2:
        return Rise(slope, 0.0)
    left = mbar - mbar.mean() - slope * x
    scatter = max(float(np.sqrt(left @ left / (len(seconds) - 2))), _last_digit(mbar) * ROUNDED)
    return Rise(slope, scatter / float(np.sqrt(x @ x)))


def _last_digit(values: np.ndarray) -> float:
    """One step of the last digit that any of the values was written with, four digits at the most."""
    written = (Decimal(f"{value:.3e}").normalize() for value in values.tolist() if value)
    return float(min((Decimal(1).scaleb(one.as_tuple().exponent) for one in written), default=0))


def _check(minutes: np.ndarray, mbar: np.ndarray, began_known: bool) -> None:
    if len(minutes) < FEWEST:
        raise ValueError(f"few: needed {FEWEST} readings, found {len(minutes)}")
    if not (np.all(np.isfinite(mbar)) and np.all(mbar > 0)):
        raise ValueError("order: needed pressures above zero, found others")
    if not np.all(np.diff(minutes) > 0) or (began_known and minutes[0] <= 0):
        raise ValueError("order: needed readings in the order of time, after pumping began")
    if _scatter(np.log(mbar)) > MOST_SCATTER:
        raise ValueError("jumps: needed readings that agree with their neighbours")
    if np.median(mbar[-3:]) > 1.1 * np.median(mbar[:3]) and _rises(np.log(mbar)):
        raise ValueError("rising: needed a falling pressure, found a rising one")


def _rises(log: np.ndarray) -> bool:
    x = np.arange(len(log)) - (len(log) - 1) / 2
    slope = float(x @ log / (x @ x))
    left = log - log.mean() - slope * x
    return slope > 3 * float(np.sqrt(left @ left / max(1, len(log) - 2) / (x @ x)))


def _grid(before: np.ndarray) -> tuple[np.ndarray, ...]:
    """Fast power, slow share, floor and minutes before, every combination once (shapes,)."""
    return tuple(part.ravel() for part in np.meshgrid(FAST, SLOWS, FLOORS, before, indexing="ij"))


def _shape(grid: tuple[np.ndarray, ...], minutes: np.ndarray) -> np.ndarray:
    """Logarithm of the pressure over the present one (shapes, n)."""
    fast, slow, floor, before = (part[:, None] for part in grid)
    log = np.log(before + minutes - minutes[0])
    log -= log[:, -1:]
    part = slow * np.exp(-SLOW * log) + (1 - slow) * np.exp(-fast * log)
    return np.log(floor + (1 - floor) * part)


def _prior(floor: np.ndarray, before: np.ndarray, began_known: bool) -> np.ndarray:
    """Logarithm of what a shape weighs before any reading (shapes,)."""
    none = np.where(floor == 0, 0.0, -np.log(len(FLOORS) - 1))
    if began_known:
        return none
    return none - before / LATE_MEAN + np.log(np.gradient(LATE))[np.searchsorted(LATE, before)]


def _left(away: np.ndarray, steps: tuple[int, ...], kept: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Each stretch between steps about its own level (shapes, n), and the level of the last (shapes,)."""
    away, level = away.copy(), np.zeros(len(away))
    ends = (0, *steps, away.shape[1])
    for start, stop in zip(ends, ends[1:], strict=False):
        level = away[:, start:stop] @ (kept[start:stop] / kept[start:stop].sum())
        away[:, start:stop] -= level[:, None]
    return away, level


def _scatter(away: np.ndarray) -> float:
    """The gauge's scatter from neighbouring differences; a wander is left to `_log_likelihood`."""
    return max(1e-3, 1.4826 * float(np.median(np.abs(np.diff(away)))) / np.sqrt(2))


def _steps(away: np.ndarray, scatter: float, known: tuple[int, ...]) -> tuple[int, ...]:
    """The known steps of the gauge and the surest other one, if any: one side's median against the other's.

    Only one at a time, for a step that was not taken out bends everything around it.
    """
    if len(known) >= MOST_STEPS:
        return known
    apart = STEP_SIDE // 2 + 1
    places = [p for p in range(3, len(away) - 2) if all(abs(p - other) >= apart for other in known)]
    if not places:
        return known
    sides = [(away[max(0, p - STEP_SIDE) : p], away[p : p + STEP_SIDE]) for p in places]
    sizes = np.array([np.median(left) - np.median(right) for left, right in sides])
    fewer = np.array([min(len(left), len(right)) for left, right in sides])
    sure = np.abs(sizes) / (scatter * MEDIAN_SIGMA * np.sqrt(2 / fewer))
    sure[np.abs(sizes) < STEP_LEAST] = 0
    at = int(np.argmax(sure))
    return tuple(sorted((*known, places[at]))) if sure[at] >= STEP_AT else known


def _log_likelihood(away: np.ndarray, kept: np.ndarray, scatter: float, steps: int) -> np.ndarray:
    """Of every shape (shapes,): the scatter profiled out; neighbours that wander together count as fewer."""
    squares = (kept * away**2).sum(axis=1)
    best = away[np.argmin(squares)] * np.sqrt(kept)
    together = float(best[1:] @ best[:-1] / max(1e-12, best @ best))
    together = min(max(together, 0.0), 0.97)
    count = max(3.0, (kept.sum() - steps - 3) * (1 - together) / (1 + together))
    return -0.5 * count * np.log(squares + 1e-12 + len(kept) * (0.2 * scatter) ** 2)


def _stepped(later: np.ndarray) -> np.ndarray:
    """How far the gauge may have stepped by then (standard deviation of the logarithm); nothing as yet."""
    return JUMP * np.sqrt(-np.expm1(-later / JUMPS_WITHIN))


def _first_below(fall: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Where each falling row (rows, AHEAD) passes its wanted value (rows,), as AHEAD; inf: nowhere."""
    above = (fall > wanted[:, None]).sum(axis=1)
    at = np.clip(above, 1, len(AHEAD) - 1)
    rows = np.arange(len(fall))
    upper, lower = fall[rows, at - 1], fall[rows, at]
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.clip((upper - wanted) / (upper - lower), 0.0, 1.0)
    found = AHEAD[at - 1] + part * (AHEAD[1] - AHEAD[0])
    return np.where(above == 0, 0.0, np.where(above == len(AHEAD), np.inf, found))


def _quantiles(values: np.ndarray, weight: np.ndarray, at: tuple[float, ...]) -> list[float]:
    order = np.argsort(values, axis=None)
    summed = np.cumsum(np.broadcast_to(weight, values.shape).ravel()[order])
    places = np.searchsorted(summed, np.array(at) * summed[-1])
    return values.ravel()[order][np.minimum(places, len(order) - 1)].tolist()
