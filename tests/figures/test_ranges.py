"""How far scales reach."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.figures.ranges import at_least, floats, padded, reach, scale_bar, snapped


def test_missing_values_become_breaks():
    assert floats([1, None])[0] == 1.0 and math.isnan(floats([1, None])[1])


def test_reach_leaves_out_what_is_not_a_number():
    assert reach([(1.0, math.nan), (3.0,)]) == (1.0, 3.0)
    assert reach([(math.nan,)]) is None


@pytest.mark.parametrize(
    ("unit", "span", "height", "words"),
    [
        ("step", 2.0, 1.0, "one edge step"),
        ("step", 0.7, 0.5, "half an edge step"),
        ("step", 0.4, 0.1, "a tenth of an edge step"),
        ("step", 12.0, 5.0, "5 edge steps"),
        ("ratio", 2.6, 1.0, "1 of signal ÷\u00a0beam"),
        ("ratio", 5e-10, 2e-10, "2\u00a0×\u00a010^\u221210 of signal ÷\u00a0beam"),
        ("raw", 3e5, 1e5, "100000 as read"),
    ],
)
def test_the_scale_bar_is_round_and_fits(unit, span, height, words):
    bar = scale_bar(unit, span)
    assert (bar.height, bar.words) == (pytest.approx(height), words)


@given(st.floats(-1e4, 1e4), st.floats(1e-6, 1e4))
def test_a_snapped_stretch_holds_the_old_one_and_is_not_much_longer(low, span):
    found = snapped(low, low + span)
    slack = 1e-9 * (abs(low) + span)
    assert found[0] <= low + slack and found[1] >= low + span - slack
    assert found[1] - found[0] <= 1.5 * span + 1e-6 * abs(low)


def test_a_stretch_of_no_length_gets_one():
    low, high = padded(2.0, 2.0, 0.1)
    assert low < 2.0 < high


def test_a_short_stretch_is_widened_evenly():
    assert at_least(-0.1, 0.1, 1.0) == pytest.approx((-0.5, 0.5))
    assert at_least(-1.0, 1.0, 1.0) == (-1.0, 1.0)
