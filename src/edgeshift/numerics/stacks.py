"""Non-negative shares of the same references in very many curves, with their formal errors.

The references are factored once: what a curve has to say is then its products with an orthogonal basis, and
every choice of references that may be above nought has a small table that gives its shares and tells whether
it is the right one. Exactly one is, so a curve needs about two look-ups and no search. Where numba is
installed the look-ups are compiled; without it numpy does the same, ten times slower.
"""

from __future__ import annotations

from functools import cache
from typing import Literal, NamedTuple

import numpy as np

MOST_REFERENCES = 12
"""The tables double with every reference; these take 5 MB."""
CLOSE = 1e-12
"""Shares and duals this near to nought, beside what went into them, are nought."""
TURNS = 40
"""A curve that is not settled by then is settled one reference at a time; `stack_kernels` has the same."""
Order = Literal["pixels", "energies"]


class Tables(NamedTuple):
    """For K references and m free columns at n energies.

    `basis` (K, n) is an orthogonal one of what the references say beside the free columns, `free` (m, n) one
    of those, `factor` (K, K) the references in it. For each choice of references: `lookup` (K, K), what is
    nought in its rows, `size` (K,), and errors of the shares, `spread` (K,), for each unit in the root of the
    sum of squares that is left.
    """

    basis: np.ndarray
    free: np.ndarray
    factor: np.ndarray
    lookup: np.ndarray
    size: np.ndarray
    spread: np.ndarray


class Shares(NamedTuple):
    """Shares and their formal errors (pixels, K), and the root mean square of what is left (pixels,); all NaN
    where a curve has a gap."""

    shares: np.ndarray
    sigma: np.ndarray
    misfit: np.ndarray


def tables(references: np.ndarray, free: np.ndarray) -> Tables:
    """Of `references` (K, n), none of them negative, beside `free` columns (m, n) of either sign.

    Raises ValueError for too many references, too few energies, a gap, or references that are no more than
    each other or the free columns.
    """
    count, points = references.shape
    if not 1 <= count <= MOST_REFERENCES:
        raise ValueError(f"a stack takes 1 to {MOST_REFERENCES} references, found {count}")
    if points <= count + len(free):
        raise ValueError(f"{count} references need more than {count + len(free)} energies, found {points}")
    if not np.isfinite(references).all():
        raise ValueError("references need a number at every energy, found a gap")
    flat = np.linalg.qr(free.T)[0].T if len(free) else np.zeros((0, points))
    own = references - (references @ flat.T) @ flat
    basis, factor = np.linalg.qr(own.T)
    lengths = np.abs(np.diag(factor))
    if np.min(lengths) < 1e-8 * np.max(np.linalg.norm(references, axis=1)):
        raise ValueError("references must differ from each other and from the baseline, found two alike")
    choices = 1 << count
    lookup, spread = np.zeros((choices, count, count)), np.zeros((choices, count))
    for choice in range(choices):
        inside = [k for k in range(count) if choice >> k & 1]
        outside = [k for k in range(count) if not choice >> k & 1]
        inverse = np.linalg.pinv(factor[:, inside]) if inside else np.zeros((0, count))
        lookup[choice, inside] = inverse
        lookup[choice, outside] = factor[:, outside].T @ (factor[:, inside] @ inverse - np.eye(count))
        left = points - len(flat) - len(inside)
        spread[choice, inside] = np.linalg.norm(inverse, axis=1) / np.sqrt(left)
    size = CLOSE * np.linalg.norm(lookup, axis=2)
    return Tables(np.ascontiguousarray(basis.T), np.ascontiguousarray(flat),
                  np.ascontiguousarray(factor), lookup, size, spread)  # fmt: skip


def solve(of: Tables, block: np.ndarray, order: Order, compiled: bool | None = None) -> Shares:
    """Shares of every curve in `block`: (pixels, n), or (n, pixels) where the order is "energies".

    `compiled` insists on numba or on numpy; both agree to 1e-12 of the largest share.
    """
    if compiled is None:
        compiled = has_numba()
    if compiled:
        return _compiled_solve(of, block, order)
    products = _products(of, block, order)
    return _settled(of, *products)


@cache
def has_numba() -> bool:
    """Whether the compiled way is there."""
    from importlib.util import find_spec

    return find_spec("numba") is not None


def _products(of: Tables, block: np.ndarray, order: Order) -> tuple[np.ndarray, np.ndarray]:
    """Products with the basis (pixels, K), and the square of what lies in neither basis (pixels,)."""
    every = np.concatenate([of.basis, of.free])
    count = len(of.basis)
    whole = block.astype(float, copy=False)
    if order == "pixels":
        found, square = whole @ every.T, np.einsum("pn,pn->p", whole, whole)
    else:
        found, square = (every @ whole).T, np.einsum("np,np->p", whole, whole)
    return found[:, :count], square - np.einsum("pk,pk->p", found, found)


def _settled(of: Tables, products: np.ndarray, beyond: np.ndarray) -> Shares:
    pixels, count = products.shape
    bits = 1 << np.arange(count)
    choice = np.full(pixels, (1 << count) - 1)
    values = np.zeros((pixels, count))
    open_ = np.flatnonzero(np.isfinite(beyond))
    for turn in range(TURNS + (1 << count)):
        if not open_.size:
            break
        wrong = np.zeros((open_.size, count), dtype=bool)
        for each in np.unique(choice[open_]):
            mine = np.flatnonzero(choice[open_] == each)
            rows = products[open_[mine]]
            looked = rows @ of.lookup[each].T
            values[open_[mine]] = looked
            wrong[mine] = looked < -of.size[each] * np.sum(np.abs(rows), axis=1)[:, None]
        open_, wrong = open_[wrong.any(axis=1)], wrong[wrong.any(axis=1)]
        if turn < TURNS:
            choice[open_] ^= wrong @ bits
        else:  # the last wrong one alone: slow, but it cannot go in circles
            choice[open_] ^= bits[count - 1 - np.argmax(wrong[:, ::-1], axis=1)]
    return _finished(of, products, beyond, choice, values)


def _finished(of: Tables, products, beyond, choice, values) -> Shares:
    count = products.shape[1]
    inside = (choice[:, None] >> np.arange(count)) & 1
    shares = np.where(inside, np.maximum(values, 0.0), 0.0)
    rest = np.maximum(beyond, 0.0) + np.sum((products - shares @ of.factor.T) ** 2, axis=1)
    sigma = np.sqrt(rest)[:, None] * of.spread[choice]
    misfit = np.sqrt(rest / of.basis.shape[1])
    gap = ~np.isfinite(beyond)
    shares[gap], sigma[gap], misfit[gap] = np.nan, np.nan, np.nan
    return Shares(shares, sigma, misfit)


def _compiled_solve(of: Tables, block: np.ndarray, order: Order) -> Shares:
    from edgeshift.numerics.stack_kernels import FOUR, TOGETHER, by_energy, by_pixel

    pixels = block.shape[0] if order == "pixels" else block.shape[1]
    count, columns, points = len(of.basis), len(of.basis) + len(of.free), of.basis.shape[1]
    found = Shares(np.empty((pixels, count)), np.empty((pixels, count)), np.empty(pixels))
    every = np.zeros((columns + -columns % TOGETHER, points + -points % FOUR))
    every[:columns, :points] = np.concatenate([of.basis, of.free])
    kernel = by_pixel if order == "pixels" else by_energy
    kernel(np.ascontiguousarray(block), every, of, *found)
    return found
