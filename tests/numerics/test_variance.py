"""Groups are compared by the scatter inside them."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.variance import one_way


def test_a_table_by_hand():
    found = one_way([np.array([1.0, 3.0]), np.array([5.0, 7.0])])
    assert (found.between, found.df_between) == (16.0, 1)
    assert (found.within, found.df_within) == (4.0, 2)
    assert found.f == pytest.approx(8.0)
    assert found.explained == pytest.approx(0.8)


def test_equal_groups_pass_one_time_in_twenty():
    rng = np.random.default_rng(31)
    passed = [one_way(list(rng.standard_normal((4, 5)))).p < 0.05 for _ in range(3000)]
    assert np.mean(passed) == pytest.approx(0.05, abs=0.012)


def test_a_common_shift_changes_nothing():
    rng = np.random.default_rng(32)
    groups = list(np.round(rng.standard_normal((3, 4)), 3))
    assert one_way([g + 2.0**20 for g in groups]).f == pytest.approx(one_way(groups).f, rel=1e-8)


def test_one_group_is_refused():
    with pytest.raises(ValueError, match="needed two groups or more .* found 1 with 3"):
        one_way([np.array([1.0, 2.0, 3.0])])


def test_no_scatter_is_refused():
    with pytest.raises(ValueError, match="some scatter inside the groups, found none"):
        one_way([np.array([1.0, 1.0]), np.array([2.0, 2.0])])
