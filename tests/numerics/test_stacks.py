"""Shares of many curves at once, against one non-negative fit after another."""

from __future__ import annotations

import numpy as np
import pytest
from conftest import skip_unless_required
from scipy.optimize import nnls

from edgeshift.numerics.stacks import MOST_REFERENCES, has_numba, solve, tables

X = np.linspace(0, 1, 80)


def references(count: int) -> np.ndarray:
    at = np.linspace(0.15, 0.7, count)
    return np.array(
        [0.5 + np.arctan((X - a) / 0.02) / np.pi + (1 + k % 3) * np.exp(-(((X - a - 0.03) / 0.05) ** 2))
         for k, a in enumerate(at)]
    )  # fmt: skip


def curves(of: np.ndarray, pixels: int, seed: int = 1) -> np.ndarray:
    """Half of all shares are at nought or would like to be below."""
    rng = np.random.default_rng(seed)
    shares = np.maximum(rng.normal(0.1, 0.4, size=(pixels, len(of))), 0)
    return shares @ of + 0.05 * rng.standard_normal((pixels, X.size))


NO_FREE = np.zeros((0, X.size))
LINE = np.vstack([np.ones_like(X), X])


@pytest.fixture(params=[False, True], ids=["numpy", "compiled"])
def compiled(request) -> bool:
    """Both ways; the compiled one where numba is installed."""
    if request.param and not has_numba():
        skip_unless_required("numba is not installed (pip install 'edgeshift[maps]')")
    return request.param


@pytest.mark.parametrize("count", [1, 3, 6])
def test_shares_are_those_of_one_fit_after_another(count, compiled):
    of = references(count)
    block = curves(of, 400)
    found = solve(tables(of, NO_FREE), block, "pixels", compiled)
    slow = np.array([nnls(of.T, curve)[0] for curve in block])
    np.testing.assert_allclose(found.shares, slow, atol=1e-8)
    rest = np.sqrt(np.mean((block - slow @ of) ** 2, axis=1))
    np.testing.assert_allclose(found.misfit, rest, rtol=1e-8)


def test_the_error_is_that_of_the_references_that_are_in(compiled):
    of = references(3)
    block = curves(of, 60, seed=5)
    found = solve(tables(of, NO_FREE), block, "pixels", compiled)
    for curve, shares, sigma in zip(block, found.shares, found.sigma, strict=True):
        used = shares > 0
        inner = of[used]
        rest = np.sum((curve - shares @ of) ** 2) / (X.size - used.sum())
        np.testing.assert_allclose(
            sigma[used], np.sqrt(rest * np.diag(np.linalg.inv(inner @ inner.T))), rtol=1e-7
        )
        assert (sigma[~used] == 0).all()


def test_a_level_and_a_line_beneath_are_fitted_of_either_sign(compiled):
    of = references(3)
    block = curves(of, 50) - 0.7 + 0.4 * X
    found = solve(tables(of, LINE), block, "pixels", compiled)
    both = np.concatenate([of, LINE, -LINE])
    slow = np.array([nnls(both.T, curve)[0][:3] for curve in block])
    np.testing.assert_allclose(found.shares, slow, atol=1e-7)


@pytest.mark.parametrize("kind", ["f4", "f8", "u2"])
def test_both_orders_and_all_number_kinds_agree(compiled, kind):
    of = references(4)
    block = (curves(of, 700) * (1 if kind[0] == "f" else 1000) + 500 * (kind == "u2")).astype(kind)
    every = tables(of, LINE[:1])
    one = solve(every, block, "pixels", compiled)
    other = solve(every, np.ascontiguousarray(block.T), "energies", compiled)
    for a, b in zip(one, other, strict=True):
        np.testing.assert_allclose(a, b, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize("points", [77, 78, 79])
@pytest.mark.parametrize("pixels", [1, 257, 515])
def test_no_size_is_too_odd(compiled, points, pixels):
    of = np.ascontiguousarray(references(4)[:, :points])
    block = np.ascontiguousarray(curves(references(4), pixels)[:, :points])
    slow = np.array([nnls(of.T, curve)[0] for curve in block])
    every = tables(of, NO_FREE[:, :points])
    for turned, order in ((block, "pixels"), (np.ascontiguousarray(block.T), "energies")):
        np.testing.assert_allclose(solve(every, turned, order, compiled).shares, slow, atol=1e-8)


def test_a_gap_is_a_gap_and_spoils_no_neighbour(compiled):
    of = references(3)
    block = curves(of, 5)
    whole = solve(tables(of, NO_FREE), block, "pixels", compiled)
    block[2, 7] = np.nan
    found = solve(tables(of, NO_FREE), block, "pixels", compiled)
    assert np.isnan(found.shares[2]).all() and np.isnan(found.sigma[2]).all() and np.isnan(found.misfit[2])
    keep = [0, 1, 3, 4]
    np.testing.assert_allclose(found.shares[keep], whole.shares[keep], atol=1e-12)


def test_nearly_alike_references_still_settle(compiled):
    """The slow way of settling, one reference at a time, ends where the quick one would go in circles."""
    rng = np.random.default_rng(3)
    of = 1 + 1e-3 * rng.standard_normal((6, X.size))
    block = rng.standard_normal((300, X.size))
    found = solve(tables(of, NO_FREE), block, "pixels", compiled)
    slow = np.array([np.sqrt(np.mean((c - nnls(of.T, c)[0] @ of) ** 2)) for c in block])
    np.testing.assert_allclose(found.misfit, slow, rtol=1e-8)


@pytest.mark.parametrize(
    ("of", "free", "needed"),
    [
        (np.ones((MOST_REFERENCES + 1, 80)), NO_FREE, "1 to 12 references, found 13"),
        (references(3)[:, :5], LINE[:, :5], "more than 5 energies, found 5"),
        (np.full((1, 80), np.nan), NO_FREE, "found a gap"),
        (np.vstack([X, 2 * X]), NO_FREE, "found two alike"),
        (np.ones((1, 80)), LINE[:1], "and from the baseline"),
    ],
)
def test_references_that_cannot_be_told_apart_are_refused(of, free, needed):
    with pytest.raises(ValueError, match=needed):
        tables(of, free)
