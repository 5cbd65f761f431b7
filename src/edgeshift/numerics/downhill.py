"""Least squares within bounds for many searches at once, all of one model.

Each search is Levenberg and Marquardt's: the step to the lowest point of the parabola, shortened until it
helps. A parameter at a bound that would like to go beyond is held there. What is done in numpy is done to all
searches together, so that many cost little more than their arithmetic.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

MOST_STEPS = 400
SETTLED = 1e-15
"""A search ends where the parabola promises less than this share of the sum of squares."""
MOST_DAMPED = 1e12
"""No shorter step is tried: where none helps any more, arithmetic has no better point."""
ALIKE, EARLIEST = 1e-4, 6
"""Searches for one thing whose sums of squares are so close after so many steps go on as one."""
AT_ONCE = 24
"""Searches held at once, so that their slopes stay near the processor."""


class Found(NamedTuple):
    """Where each search ended: parameters (searches, p), the sum of squares (searches,), inf where it did not
    settle, and which parameters are held at a bound (searches, p)."""

    parameters: np.ndarray
    rss: np.ndarray
    held: np.ndarray


Left = Callable[[np.ndarray, np.ndarray], np.ndarray]
"""Left-overs (some, points) of parameters (some, p), for the searches of these numbers (some,)."""
Slopes = Callable[[np.ndarray, np.ndarray], np.ndarray]
"""Slopes of the left-overs (some, p, points)."""


def search(
    left: Left, slopes: Slopes, start: np.ndarray, low: np.ndarray, high: np.ndarray, of: np.ndarray
) -> Found:
    """From `start` (searches, p) within `low` and `high`; searches with the same number in `of` (searches,)
    are for one thing, and those that have met go on as one."""
    found = Found(np.array(start), np.full(len(start), np.inf), np.zeros(start.shape, dtype=bool))
    whole = np.flatnonzero(np.diff(of, prepend=of[0] - 1))
    first = 0
    while first < len(start):
        ends = [*whole[whole > first], len(start)]
        last = next((e for e in reversed(ends) if e - first <= AT_ONCE), ends[0])
        with np.errstate(over="ignore", invalid="ignore"):  # a step too far is taken back
            _together(left, slopes, low, high, of, np.arange(first, last), found)
        first = last
    return found


def _together(left, slopes, low, high, of, here: np.ndarray, found: Found) -> None:
    """The searches of numbers `here`, written into `found` as they end."""
    at = np.clip(found.parameters[here], low[here], high[here])
    over = left(at, here)
    rss = np.sum(over**2, axis=1)
    by = slopes(at, here)
    square, pull = _parabola(by, over)
    damp, growth = np.full(len(here), 1e-3), np.full(len(here), 2.0)
    for step in range(MOST_STEPS):
        held = ((at <= low[here]) & (pull > 0)) | ((at >= high[here]) & (pull < 0))
        move = _step(square, pull, damp, held)
        to = np.clip(at + move, low[here], high[here])
        move = to - at
        promised = -2 * np.sum(pull * move, axis=1) - np.einsum("sp,spq,sq->s", move, square, move)
        done = ((np.abs(promised) <= SETTLED * rss) & (damp < 1)) | (damp > MOST_DAMPED)
        met = _met(rss, of[here]) & ~done if step >= EARLIEST else np.zeros(len(here), dtype=bool)
        found.parameters[here[done]], found.held[here[done]] = at[done], held[done]
        found.rss[here[done]] = np.where(np.isfinite(rss[done]), rss[done], np.inf)
        stay = ~(done | met)
        if not stay.any():
            return
        here, at, to, rss, promised = here[stay], at[stay], to[stay], rss[stay], promised[stay]
        square, pull, damp, growth = square[stay], pull[stay], damp[stay], growth[stay]
        over = left(to, here)
        new = np.sum(over**2, axis=1)
        better = (new < rss) & (promised > 0)
        gain = np.where(better, (rss - new) / np.where(better, promised, 1.0), 0.0)
        damp = np.where(better, damp * np.maximum(1 / 10, 1 - (2 * gain - 1) ** 3), damp * growth)
        growth = np.where(better, 2.0, 2 * growth)
        damp = np.maximum(damp, 1e-14)
        if better.any():
            at[better], rss[better] = to[better], new[better]
            square[better], pull[better] = _parabola(slopes(to[better], here[better]), over[better])


def _parabola(by: np.ndarray, over: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return by @ by.swapaxes(1, 2), np.matmul(by, over[:, :, None])[:, :, 0]


def _step(square, pull, damp, held) -> np.ndarray:
    """Where the damped parabola is lowest, leaving alone what is held."""
    count = pull.shape[1]
    free = ~held
    within = square * (free[:, :, None] & free[:, None, :])
    size = np.einsum("spp->sp", square)
    size = np.maximum(size, 1e-12 * np.max(size, axis=1, keepdims=True))
    scale = 1 / np.sqrt(size)
    within *= scale[:, :, None] * scale[:, None, :]
    diagonal = np.arange(count)
    within[:, diagonal, diagonal] = np.where(held, 1.0, within[:, diagonal, diagonal] + damp[:, None])
    return scale * np.linalg.solve(within, np.where(held, 0.0, -pull * scale)[:, :, None])[:, :, 0]


def _met(rss: np.ndarray, of: np.ndarray) -> np.ndarray:
    """Searches that another one for the same thing has caught up with (all but the best of those alike)."""
    order = np.lexsort((rss, of))
    same = np.zeros(len(rss), dtype=bool)
    before, now = order[:-1], order[1:]
    same[now] = (of[before] == of[now]) & (rss[now] - rss[before] <= ALIKE * rss[now])
    return same
