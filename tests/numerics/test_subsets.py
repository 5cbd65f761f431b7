"""All sets of references at once, against one non-negative fit after another."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from scipy.optimize import nnls

from edgeshift.numerics.subsets import best_sets, fits, products

RNG = np.random.default_rng(7)
X = np.linspace(0, 1, 90)
REFERENCES = np.array(
    [
        0.5 + np.arctan((X - at) / 0.03) / np.pi + high * np.exp(-(((X - at - 0.05) / 0.05) ** 2))
        for at, high in ((0.2, 1.0), (0.3, 2.0), (0.4, 0.6), (0.5, 1.5), (0.6, 0.9), (0.35, 1.2))
    ]
)
CURVES = RNG.dirichlet(np.ones(6), size=8) @ REFERENCES + 0.02 * RNG.standard_normal((8, 90))


def slow_winner(curve: np.ndarray, most: int) -> tuple[tuple[int, ...], np.ndarray]:
    """By one fit for each set, and the criterion of each."""
    best, found = np.inf, ((), np.zeros(0))
    for size in range(1, most + 1):
        for chosen in combinations(range(len(REFERENCES)), size):
            shares, rest = nnls(REFERENCES[list(chosen)].T, curve)
            rated = curve.size * np.log(rest**2 / curve.size) + size * np.log(curve.size)
            if rated < best:
                best, found = rated, (chosen, shares)
    return found


def test_the_best_set_of_every_curve_is_that_of_one_fit_after_another():
    found = best_sets(products(REFERENCES, CURVES), 3)
    for curve, members, shares in zip(CURVES, found.members, found.shares, strict=True):
        chosen, slow = slow_winner(curve, 3)
        assert tuple(np.flatnonzero(members)) == chosen
        np.testing.assert_allclose(shares[list(chosen)], slow, atol=1e-8)


def test_a_set_with_a_share_of_nought_or_less_never_counts():
    negative = REFERENCES[0] - 0.3 * REFERENCES[1]
    (block,) = fits(products(REFERENCES[:2], negative[None]), 2)
    assert np.isinf(block.left[0, 0])
    assert block.shares[0, 1, 0] < 0


def test_a_curve_unlike_everything_has_no_winner():
    found = best_sets(products(REFERENCES, -CURVES[:1]), 2)
    assert not found.members.any()


def test_blocks_of_sets_give_what_one_block_gives(monkeypatch):
    whole = best_sets(products(REFERENCES, CURVES), 3)
    monkeypatch.setattr("edgeshift.numerics.subsets.ROOM", 100)
    parts = best_sets(products(REFERENCES, CURVES), 3)
    np.testing.assert_array_equal(whole.members, parts.members)
    np.testing.assert_array_equal(whole.shares, parts.shares)
