"""The look-ups of `stacks`, compiled. Imported only where numba is installed and a stack is solved."""

from __future__ import annotations

import numba
import numpy as np
from llvmlite import ir
from numba.extending import intrinsic

TILE = 256
"""Curves whose products are held at once, so that all that is done to them stays near the processor."""
TOGETHER = 3
"""Columns of the basis taken at once: with four curves as many sums as registers hold."""
FOUR = 4
"""Curves, or energies, taken at once."""
TURNS = 40
FAST = numba.njit(nogil=True, cache=True, fastmath={"reassoc", "contract", "nsz", "arcp"})
EXACT = numba.njit(nogil=True, cache=True, fastmath={"contract", "nsz"})


LINE_BYTES = 64
"""What a processor fetches at once (most do)."""


@intrinsic
def fetch(typing, address):
    """Ask for the memory at an address, without waiting for it and without harm where there is none."""

    def lower(context, builder, signature, arguments):
        byte, number = ir.IntType(8).as_pointer(), ir.IntType(32)
        kind = ir.FunctionType(ir.VoidType(), [byte, number, number, number])
        ask = builder.module.declare_intrinsic("llvm.prefetch", [byte], kind)
        to_read, soon, data = number(0), number(3), number(1)
        builder.call(ask, [builder.inttoptr(arguments[0], byte), to_read, soon, data])
        return context.get_dummy_value()

    return numba.types.void(numba.types.intp), lower


@EXACT
def settle(p, choice, held, length, lookup, size, values):
    """The right choice of references for curve `p` of a tile, looked for from `choice` on.

    `values` then hold its shares, and what is not above nought for those that are out. Returns the choice.
    """
    count, turn = values.shape[0], 0
    while True:
        wrong, table, nought = 0, lookup[choice], size[choice]
        for i in range(count):
            total, row = 0.0, table[i]
            for k in range(count):
                total += row[k] * held[k, p]
            values[i, p] = total
            wrong |= np.int64(total < -nought[i] * length) << i
        if wrong == 0:
            return choice
        turn += 1
        if turn > TURNS:  # the last wrong one alone: slow, but it cannot go in circles
            while wrong & (wrong - 1):
                wrong &= wrong - 1
        choice ^= wrong


@EXACT
def finish_tile(first, here, held, squares, of, shares, sigma, misfit):
    """`here` curves from their products, to the places from `first` on.

    All begin with every reference in; only those for which that is wrong go on one by one.
    """
    count, columns, points = len(of.basis), len(of.basis) + len(of.free), of.basis.shape[1]
    full = (1 << count) - 1
    values, rest, length, gap = np.zeros((count, TILE)), np.empty(TILE), np.zeros(TILE), np.empty(TILE)
    choices, still, wrong = np.full(TILE, full), np.empty(TILE, np.int64), np.zeros(TILE, np.int64)
    for p in range(here):
        rest[p] = squares[p]
    for k in range(columns):
        for p in range(here):
            rest[p] -= held[k, p] * held[k, p]
    for p in range(here):
        rest[p] = 0.0 if rest[p] < 0.0 else rest[p]
    for i in range(count):
        for p in range(here):
            length[p] += abs(held[i, p])
        for k in range(i, count):  # with all in, a share takes nothing from the columns before its own
            weight = of.lookup[full, i, k]
            for p in range(here):
                values[i, p] += weight * held[k, p]
    for i in range(count):
        weight = of.size[full, i]
        for p in range(here):
            wrong[p] |= np.int64(values[i, p] < -weight * length[p]) << i
    many = 0
    for p in range(here):  # written before it is known, so that nothing has to be guessed
        still[many] = p
        many += wrong[p] != 0
    for q in range(many):
        p = still[q]
        choices[p] = settle(p, full ^ wrong[p], held, length[p], of.lookup, of.size, values)
        for i in range(count):
            values[i, p] *= choices[p] >> i & 1
    for i in range(count):
        for p in range(here):
            values[i, p] = 0.0 if values[i, p] < 0.0 else values[i, p]
    for i in range(count):
        for p in range(here):
            gap[p] = held[i, p]
        for k in range(i, count):
            weight = of.factor[i, k]
            for p in range(here):
                gap[p] -= weight * values[k, p]
        for p in range(here):
            rest[p] += gap[p] * gap[p]
    scale = 1.0 / np.sqrt(points)
    for p in range(here):  # a gap in the curve is one in its square, and stays one in all that follows
        rest[p] = np.sqrt(rest[p]) + 0.0 * squares[p]
    for p in range(here):
        misfit[first + p] = scale * rest[p]
        for k in range(count):
            shares[first + p, k] = values[k, p] + 0.0 * rest[p]
            sigma[first + p, k] = rest[p] * of.spread[choices[p], k]


@FAST
def by_pixel(block, every, of, shares, sigma, misfit):
    """A block of curves as rows. `every` holds basis and free columns, filled up with noughts to whole groups
    of TOGETHER columns and of FOUR energies."""
    pixels, bytes_of_four = len(block), FOUR * block.shape[1] * block.itemsize
    held, squares, rows = np.empty((len(every), TILE)), np.empty(TILE), np.zeros((FOUR, every.shape[1]))
    for first in range(0, pixels, TILE):
        here = min(TILE, pixels - first)
        for p in range(0, here, FOUR):
            following = block.ctypes.data + (first + p + FOUR) * (bytes_of_four // FOUR)
            for byte in range(0, bytes_of_four, LINE_BYTES):
                fetch(following + byte)
            four_curves(block, first + p, every, rows, held, squares, p)
        finish_tile(first, here, held, squares, of, shares, sigma, misfit)


@FAST
def four_curves(block, first, every, rows, held, squares, to):
    """Products of four curves, the last one again where there are fewer: each number that is fetched serves
    several sums."""
    columns, points = every.shape
    for j in range(FOUR):
        at, square = min(first + j, len(block) - 1), 0.0
        for n in range(block.shape[1]):
            rows[j, n] = block[at, n]
            square += rows[j, n] * rows[j, n]
        squares[to + j] = square
    r, s, t, u = rows[0], rows[1], rows[2], rows[3]
    for k in range(0, columns, TOGETHER):
        x, y, z = every[k], every[k + 1], every[k + 2]
        rx, sx, tx, ux = 0.0, 0.0, 0.0, 0.0
        ry, sy, ty, uy = 0.0, 0.0, 0.0, 0.0
        rz, sz, tz, uz = 0.0, 0.0, 0.0, 0.0
        for n in range(points):
            rx, sx, tx, ux = rx + r[n] * x[n], sx + s[n] * x[n], tx + t[n] * x[n], ux + u[n] * x[n]
            ry, sy, ty, uy = ry + r[n] * y[n], sy + s[n] * y[n], ty + t[n] * y[n], uy + u[n] * y[n]
            rz, sz, tz, uz = rz + r[n] * z[n], sz + s[n] * z[n], tz + t[n] * z[n], uz + u[n] * z[n]
        held[k, to], held[k, to + 1], held[k, to + 2], held[k, to + 3] = rx, sx, tx, ux
        held[k + 1, to], held[k + 1, to + 1], held[k + 1, to + 2], held[k + 1, to + 3] = ry, sy, ty, uy
        held[k + 2, to], held[k + 2, to + 1], held[k + 2, to + 2], held[k + 2, to + 3] = rz, sz, tz, uz


@FAST
def by_energy(block, every, of, shares, sigma, misfit):
    """A block of curves as columns, four energies at a time; `every` as for `by_pixel`."""
    points, pixels = block.shape
    columns = len(of.basis) + len(of.free)
    held, squares, rows = np.empty((columns, TILE)), np.empty(TILE), np.zeros((FOUR, TILE))
    for first in range(0, pixels, TILE):
        here = min(TILE, pixels - first)
        held[:] = 0.0
        squares[:] = 0.0
        for n in range(0, points, FOUR):
            for j in range(FOUR):
                row = rows[j]
                if n + j < points:
                    for p in range(here):
                        row[p] = block[n + j, first + p]
                        squares[p] += row[p] * row[p]
                else:
                    row[:] = 0.0
            r, s, t, u = rows[0], rows[1], rows[2], rows[3]
            for k in range(columns):
                a, b, c, d = every[k, n], every[k, n + 1], every[k, n + 2], every[k, n + 3]
                own = held[k]
                for p in range(here):
                    own[p] += a * r[p] + b * s[p] + c * t[p] + d * u[p]
        finish_tile(first, here, held, squares, of, shares, sigma, misfit)
