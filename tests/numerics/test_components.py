"""A component is earned by more than luck, and its size is told."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.components import akaike, f_quantile, f_test, ratio_limit


def test_f_by_hand():
    found = f_test(30.0, 12, 20.0, 10)
    assert found.f == pytest.approx((10 / 2) / (20 / 10))
    assert found.explained == pytest.approx(1 / 3)
    assert found.ratio == pytest.approx(1.5**0.5)


def test_hamiltons_ratio_and_f_pass_their_limits_together():
    limit = f_quantile(0.95, 2, 10)
    just = f_test(20 + 4.0001 * limit, 12, 20.0, 10)
    assert just.f > limit
    assert just.p < 0.05
    assert just.ratio > ratio_limit(0.05, 2, 10)


def test_a_needless_component_passes_one_time_in_twenty():
    rng = np.random.default_rng(21)
    noise = rng.standard_normal((4000, 20))
    extra = noise.mean(axis=1) ** 2 * 20
    whole = (noise**2).sum(axis=1)
    passed = [f_test(all_, 20, all_ - part, 19).p < 0.05 for all_, part in zip(whole, extra, strict=True)]
    assert np.mean(passed) == pytest.approx(0.05, abs=0.01)


def test_a_bigger_model_that_fits_worse_has_earned_nothing():
    found = f_test(20.0, 12, 20.5, 10)
    assert (found.f, found.p, found.explained) == (0.0, 1.0, 0.0)


def test_akaike_prefers_the_smaller_model_at_equal_left_over():
    assert akaike(5.0, 50, 3) < akaike(5.0, 50, 4)


def test_models_in_the_wrong_order_are_refused():
    with pytest.raises(ValueError, match="fewer degrees of freedom, found 12 against 10"):
        f_test(30.0, 10, 20.0, 12)


def test_nothing_left_over_is_refused():
    with pytest.raises(ValueError, match="some left-over in the bigger model, found 0"):
        f_test(30.0, 12, 0.0, 10)
