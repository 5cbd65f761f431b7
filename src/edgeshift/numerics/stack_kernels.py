"""The look-ups of `stacks`, compiled. Imported only where numba is installed and a stack is solved."""

from __future__ import annotations

import numba
import numpy as np

TILE = 256
"""Curves whose products are held at once, so that all that is done to them stays near the processor."""
TURNS = 40
FAST = numba.njit(nogil=True, cache=True, fastmath={"reassoc", "contract", "nsz", "arcp"})
EXACT = numba.njit(nogil=True, cache=True, fastmath={"contract", "nsz"})


@EXACT
def settle(p, wrong, held, length, lookup, size, values):
    """The right choice of references for curve `p` of a tile; `values` then hold their shares."""
    count = values.shape[0]
    choice = (1 << count) - 1
    turn = 0
    while wrong:
        turn += 1
        if turn > TURNS:  # the last wrong one alone: slow, but it cannot go in circles
            while wrong & (wrong - 1):
                wrong &= wrong - 1
        choice ^= wrong
        wrong = 0
        for i in range(count):
            total = 0.0
            for k in range(count):
                total += lookup[choice, i, k] * held[k, p]
            values[i, p] = total
            wrong |= np.int64(total < -size[choice, i] * length) << i
    return choice


@EXACT
def finish_tile(
    first, here, held, squares, points, count, factor, lookup, size, spread, shares, sigma, misfit
):
    """`here` curves from their products, to the places from `first` on.

    All begin with every reference in; only those for which that is wrong go on one by one.
    """
    columns, full = held.shape[0], (1 << count) - 1
    values, rest, length = np.zeros((count, TILE)), np.empty(TILE), np.zeros(TILE)
    choices, wrongs, gap = np.full(TILE, full), np.zeros(TILE, dtype=np.int64), np.empty(TILE)
    for p in range(here):
        rest[p] = squares[p]
    for k in range(columns):
        for p in range(here):
            rest[p] -= held[k, p] * held[k, p]
    for i in range(count):
        for p in range(here):
            length[p] += abs(held[i, p])
        for k in range(i, count):
            weight = lookup[full, i, k]
            for p in range(here):
                values[i, p] += weight * held[k, p]
    for i in range(count):
        for p in range(here):
            wrongs[p] |= np.int64(values[i, p] < -size[full, i] * length[p]) << i
    for p in range(here):
        if wrongs[p]:
            choices[p] = settle(p, wrongs[p], held, length[p], lookup, size, values)
    for p in range(here):
        rest[p] = max(rest[p], 0.0)
    for k in range(count):
        for p in range(here):
            values[k, p] = (choices[p] >> k & 1) * max(values[k, p], 0.0)
    for k in range(count):
        for p in range(here):
            gap[p] = held[k, p]
        for other in range(k, count):
            weight = factor[k, other]
            for p in range(here):
                gap[p] -= weight * values[other, p]
        for p in range(here):
            rest[p] += gap[p] * gap[p]
    for p in range(here):
        members = 0
        for k in range(count):
            members += choices[p] >> k & 1
        scale = np.sqrt(rest[p] / (points - members - (columns - count)))
        if not np.isfinite(squares[p]):
            scale = np.nan
        misfit[first + p] = np.sqrt(rest[p] / points) + 0.0 * scale
        for k in range(count):
            shares[first + p, k] = values[k, p] + 0.0 * scale
            sigma[first + p, k] = scale * spread[choices[p], k]


@FAST
def by_pixel(block, every, count, factor, lookup, size, spread, shares, sigma, misfit):
    """A block of curves as rows."""
    pixels, points = block.shape
    columns = every.shape[0]
    held, squares, row = np.empty((columns, TILE)), np.empty(TILE), np.empty(points)
    for first in range(0, pixels, TILE):
        here = min(TILE, pixels - first)
        for p in range(here):
            square = 0.0
            for n in range(points):
                row[n] = block[first + p, n]
                square += row[n] * row[n]
            squares[p] = square
            for k in range(columns):
                total = 0.0
                for n in range(points):
                    total += every[k, n] * row[n]
                held[k, p] = total
        finish_tile(
            first, here, held, squares, points, count, factor, lookup, size, spread, shares, sigma, misfit
        )


@FAST
def by_energy(block, every, count, factor, lookup, size, spread, shares, sigma, misfit):
    """A block of curves as columns."""
    points, pixels = block.shape
    columns = every.shape[0]
    held, squares, row = np.empty((columns, TILE)), np.empty(TILE), np.empty(TILE)
    for first in range(0, pixels, TILE):
        here = min(TILE, pixels - first)
        held[:] = 0.0
        squares[:] = 0.0
        for n in range(points):
            for p in range(here):
                row[p] = block[n, first + p]
                squares[p] += row[p] * row[p]
            for k in range(columns):
                weight = every[k, n]
                for p in range(here):
                    held[k, p] += weight * row[p]
        finish_tile(
            first, here, held, squares, points, count, factor, lookup, size, spread, shares, sigma, misfit
        )
