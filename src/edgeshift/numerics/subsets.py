"""Every set of references up to a size, for many curves at once, none of them with a negative share.

A curve enters only through its products with the references, so its points are gone over once. A set whose
free solution has a share of nought or less is passed over: with that share at nought it is a smaller set,
which is tried too. So the best set of all is the non-negative fit, and no active set is needed.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

import numpy as np

ROOM = 120_000
"""Numbers held at once for one block of sets: what fits near the processor goes three times faster."""


class Products(NamedTuple):
    """`normal` of references with themselves (refs, refs) or (curves, refs, refs), `moments` of references
    with curves (refs, curves), `squares` of curves (curves,), and the points that went into them."""

    normal: np.ndarray
    moments: np.ndarray
    squares: np.ndarray
    points: int


class Fits(NamedTuple):
    """Sets of one size: their references (sets, size), shares (sets, size, curves) and what is left, a sum of
    squares (sets, curves), infinite where a share is not above 0."""

    sets: np.ndarray
    shares: np.ndarray
    left: np.ndarray


class Winner(NamedTuple):
    """For each curve: the best set as one flag for each reference (curves, refs), its shares (curves, refs)
    and its criterion (curves,)."""

    members: np.ndarray
    shares: np.ndarray
    criterion: np.ndarray


def products(references: np.ndarray, curves: np.ndarray) -> Products:
    """Of references (refs, points) and curves (curves, points)."""
    squares = np.einsum("cp,cp->c", curves, curves)
    return Products(references @ references.T, references @ curves.T, squares, references.shape[1])


def fits(of: Products, size: int) -> Iterator[Fits]:
    """All sets of exactly `size` references, in blocks that fit into memory.

    Like references make the normal equations square their likeness: up to a condition of about 1e5 what
    is left agrees with other ways to 1e-6 of itself.
    """
    count, curves = of.moments.shape
    every = np.array(list(combinations(range(count), size)))
    step = max(1, ROOM // (size * curves))
    for first in range(0, len(every), step):
        yield _fits(of, every[first : first + step])


def fits_of(of: Products, chosen: list[tuple[int, ...]]) -> Iterator[Fits]:
    """Only these sets, those of one size together."""
    for size in sorted({len(each) for each in chosen}):
        yield _fits(of, np.array([each for each in chosen if len(each) == size]))


def _fits(of: Products, sets: np.ndarray) -> Fits:
    moments = of.moments[sets]
    if of.normal.ndim == 2:
        shares = np.linalg.inv(of.normal[sets[:, :, None], sets[:, None, :]]) @ moments
    else:
        normal = np.moveaxis(of.normal[:, sets[:, :, None], sets[:, None, :]], 0, 1)
        shares = np.linalg.solve(normal, np.moveaxis(moments, 2, 1)[..., None])[..., 0]
        shares = np.moveaxis(shares, 1, 2)
    explained = np.einsum("skc,skc->sc", shares, moments)
    left = np.maximum(of.squares - explained, 0.0)
    return Fits(sets, shares, np.where((shares > 0.0).all(axis=1), left, np.inf))


def best_sets(of: Products, most: int) -> Winner:
    """The set with the smallest Bayesian criterion, ``n ln(left/n) + k ln n``, for each curve."""
    refs, curves = of.moments.shape
    best = of.points * np.log(np.maximum(of.squares, 1e-300) / of.points)
    members, shares = np.zeros((curves, refs), dtype=bool), np.zeros((curves, refs))
    for size in range(1, most + 1):
        for block in fits(of, size):
            first = np.argmin(block.left, axis=0)
            left = np.take_along_axis(block.left, first[None], 0)[0]
            rated = of.points * np.log(np.maximum(left, 1e-300) / of.points) + size * np.log(of.points)
            better = np.flatnonzero(rated < best)
            best[better] = rated[better]
            chosen = block.sets[first[better]]
            members[better], shares[better] = False, 0.0
            members[better[:, None], chosen] = True
            shares[better[:, None], chosen] = block.shares[first[better], :, better]
    return Winner(members, shares, best)
