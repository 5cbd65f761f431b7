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
def settle(p, held, length, lookup, size, values):
    """The right choice of references for curve `p` of a tile, from the start with all of them in.

    `values` then hold the shares, nought for those that are out. Returns the choice.
    """
    count = values.shape[0]
    choice = (1 << count) - 1
    turn = 0
    while True:
        wrong = 0
        for i in range(count):
            wrong |= np.int64(values[i, p] < -size[choice, i] * length) << i
        if wrong == 0:
            break
        turn += 1
        if turn > TURNS:  # the last wrong one alone: slow, but it cannot go in circles
            while wrong & (wrong - 1):
                wrong &= wrong - 1
        choice ^= wrong
        for i in range(count):
            total = 0.0
            for k in range(count):
                total += lookup[choice, i, k] * held[k, p]
            values[i, p] = total
    for i in range(count):
        values[i, p] *= choice >> i & 1
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
    choices, lowest, gap = np.full(TILE, full), np.zeros(TILE), np.empty(TILE)
    free = np.full(TILE, float(points - columns))
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
        weight = size[full, i]
        for p in range(here):
            level = values[i, p] + weight * length[p]
            lowest[p] = level if level < lowest[p] else lowest[p]
    for p in range(here):
        if lowest[p] < 0.0:
            choices[p] = settle(p, held, length[p], lookup, size, values)
            for k in range(count):
                free[p] += 1 - (choices[p] >> k & 1)
    for p in range(here):
        rest[p] = rest[p] if rest[p] > 0.0 else 0.0
    for k in range(count):
        for p in range(here):
            values[k, p] = values[k, p] if values[k, p] > 0.0 else 0.0
    for k in range(count):
        for p in range(here):
            gap[p] = held[k, p]
        for other in range(k, count):
            weight = factor[k, other]
            for p in range(here):
                gap[p] -= weight * values[other, p]
        for p in range(here):
            rest[p] += gap[p] * gap[p]
    for p in range(here):  # a gap in the curve is one in its square, and stays one in all that follows
        length[p] = np.sqrt(rest[p] / free[p]) + 0.0 * squares[p]
        rest[p] = np.sqrt(rest[p] / points) + 0.0 * squares[p]
    for p in range(here):
        misfit[first + p] = rest[p]
        for k in range(count):
            shares[first + p, k] = values[k, p] + 0.0 * rest[p]
            sigma[first + p, k] = length[p] * spread[choices[p], k]


@FAST
def by_pixel(block, every, count, factor, lookup, size, spread, shares, sigma, misfit):
    """A block of curves as rows."""
    pixels, points = block.shape
    columns = every.shape[0]
    held, squares, rows = np.empty((columns, TILE)), np.empty(TILE), np.zeros((4, points))
    for first in range(0, pixels, TILE):
        here = min(TILE, pixels - first)
        for p in range(0, here, 4):
            four_rows(block, first + p, min(4, here - p), every, rows, held, squares, p)
        finish_tile(
            first, here, held, squares, points, count, factor, lookup, size, spread, shares, sigma, misfit
        )


@FAST
def four_rows(block, first, many, every, rows, held, squares, to):
    """Products of up to four curves: each number of the basis that is fetched serves all of them."""
    columns, points = every.shape
    for j in range(many):
        square = 0.0
        for n in range(points):
            rows[j, n] = block[first + j, n]
            square += rows[j, n] * rows[j, n]
        squares[to + j] = square
    for k in range(columns):
        a, b, c, d = 0.0, 0.0, 0.0, 0.0
        for n in range(points):
            weight = every[k, n]
            a += weight * rows[0, n]
            b += weight * rows[1, n]
            c += weight * rows[2, n]
            d += weight * rows[3, n]
        held[k, to], held[k, to + 1], held[k, to + 2], held[k, to + 3] = a, b, c, d


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
