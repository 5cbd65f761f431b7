"""Shares of references in one curve."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.edges import double_step
from edgeshift.numerics.mixtures import non_negative

ENERGY = np.linspace(7108, 7165, 229)


def edge(centre: float, line: float, at: np.ndarray = ENERGY) -> np.ndarray:
    return double_step(at, (centre,), (2.0,), (1.0,)) + line * np.exp(-(((at - centre - 6) / 4) ** 2))


LATE, EARLY = edge(7124.0, 0.9), edge(7120.0, 0.7)


def test_shares_put_in_are_found():
    found = non_negative(0.7 * LATE + 0.3 * EARLY, np.array([LATE, EARLY]))
    np.testing.assert_allclose(found.shares, [0.7, 0.3], atol=1e-9)
    assert found.total == pytest.approx(1)
    assert found.misfit < 1e-9


def test_the_sum_is_reported_and_not_forced():
    found = non_negative(0.6 * LATE + 0.2 * EARLY, np.array([LATE, EARLY]))
    assert found.total == pytest.approx(0.8)
    np.testing.assert_allclose(found.parts, [0.75, 0.25])


def test_no_share_is_negative_and_the_misfit_tells():
    found = non_negative(1.2 * LATE - 0.2 * EARLY, np.array([LATE, EARLY]))
    assert found.shares[1] == 0
    assert found.misfit > 0.01


def test_nothing_found_has_no_parts():
    assert np.isnan(non_negative(-LATE, np.array([LATE, EARLY])).parts).all()


@pytest.mark.parametrize(
    ("target", "references", "needed"),
    [
        (LATE[:1], np.array([LATE, EARLY])[:, :1], "2 references need as many points, found 1"),
        (np.full(229, np.nan), np.array([LATE, EARLY]), "a number at every point"),
    ],
)
def test_too_little_or_a_gap_is_refused(target, references, needed):
    with pytest.raises(ValueError, match=needed):
        non_negative(target, references)
