"""A drift per step and how well it is known."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.trends import per_step


def test_a_straight_line_is_known_exactly():
    found = per_step(100.0 + 2.0 * np.arange(11) - 10.0, 0.05)
    assert found.per_step == pytest.approx(0.02)
    assert found.give_or_take == pytest.approx(0, abs=1e-12)


def test_three_values_by_hand():
    """Line through 9, 11, 10: slope 1/2, rest (-1/2, 1, -1/2); error sqrt(1.5/2); t(0.975, 1) = 12.706."""
    found = per_step(np.array([9.0, 11.0, 10.0]), 0.05)
    assert found.per_step == pytest.approx(0.05)
    assert found.give_or_take == pytest.approx(12.706 * np.sqrt(0.75) / 10, rel=1e-4)
    assert found.largest == pytest.approx(found.per_step + found.give_or_take)


def test_the_interval_holds_the_truth_as_often_as_it_says():
    rng = np.random.default_rng(11)
    series = 1.0 + 0.002 * (np.arange(10) - 4.5) + 0.005 * rng.standard_normal((2000, 10))
    found = [per_step(row, 0.05) for row in series]
    held = np.mean([abs(each.per_step - 0.002) <= each.give_or_take for each in found])
    assert 0.935 < held < 0.965


@pytest.mark.parametrize(
    ("values", "needed"),
    [
        ([1.0, 2.0], "3 numbers without a gap, found 2 of 2"),
        ([1.0, np.nan, 2.0], "found 2 of 3"),
        ([-1.0, 0.0, 1.0], "a mean other than 0"),
    ],
)
def test_what_has_no_trend_is_refused(values, needed):
    with pytest.raises(ValueError, match=needed):
        per_step(np.array(values), 0.05)
