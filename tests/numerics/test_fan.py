"""The fan of equally good mixtures: what it holds, what widens it, and what it says of equal sets."""

from __future__ import annotations

import numpy as np
import pytest
from benchmark_modules import benchmark
from invented_iron import ENERGY, FERRIC, FERROUS, iron, off

from edgeshift.numerics.fan import Doubt, View, fan, formal_interval

TRUE = np.array([0.35, 0.65])
GOOD = np.array([iron(FERROUS), iron(FERRIC)])
SIGMA = np.full(ENERGY.size, 0.01)
CURVE = TRUE @ GOOD + SIGMA * np.random.default_rng(4).standard_normal(ENERGY.size)
PLAIN = View(ENERGY, CURVE, SIGMA, GOOD)


def test_the_fan_holds_the_truth_and_is_wider_than_the_formal_interval():
    found = fan([PLAIN], [Doubt(0.1, 0.1)] * 2, 2)
    assert (found.low <= TRUE).all() and (found.high >= TRUE).all()
    assert ((found.high - found.low) / 2 > 3 * found.formal).all()
    assert found.total[1] < 1 < found.total[2]


def test_trusted_references_narrow_it_down_to_the_formal_interval():
    found = fan([PLAIN], [Doubt(0.0, 0.0)] * 2, 2)
    np.testing.assert_allclose((found.high - found.low) / 2, found.formal, rtol=0.35)


def test_a_doubted_axis_widens_it_where_heights_are_trusted():
    narrow = fan([PLAIN], [Doubt(0.01, 0.01)] * 2, 2)
    wide = fan([PLAIN], [Doubt(0.3, 0.01)] * 2, 2)
    assert wide.high[0] - wide.low[0] > narrow.high[0] - narrow.low[0]


def test_two_sets_that_fit_equally_well_both_stand():
    again = off(FERRIC, 0.05, 0.05, np.random.default_rng(2))
    alike = np.array([iron(FERROUS), iron(FERRIC), again])
    found = fan([View(ENERGY, CURVE, SIGMA, alike)], [Doubt(0.1, 0.1)] * 3, 3)
    assert {(0, 1), (0, 1, 2)} <= {each.members for each in found.sets}
    assert found.low[2] == 0 and found.high[2] > 0.1, "its share may be nought, or not"
    assert found.high[1] - found.low[1] > 0.2


def test_the_same_seed_gives_the_same_fan():
    one, other = (fan([PLAIN], [Doubt(0.1, 0.1)] * 2, 2, draws=200) for _ in range(2))
    np.testing.assert_array_equal(one.members, other.members)


def test_a_view_with_another_baseline_joins_the_fan():
    lifted = View(ENERGY, CURVE - 0.05, SIGMA, GOOD)
    alone = fan([PLAIN], [Doubt(0.02, 0.02)] * 2, 2)
    both = fan([PLAIN, lifted], [Doubt(0.02, 0.02)] * 2, 2)
    assert both.high[0] - both.low[0] > alone.high[0] - alone.low[0]


def test_the_formal_interval_of_a_part_is_that_of_noise_alone():
    rng = np.random.default_rng(11)
    found = [
        formal_interval(PLAIN._replace(curve=TRUE @ GOOD + SIGMA * rng.standard_normal(ENERGY.size)))
        for _ in range(300)
    ]
    inside = [abs(parts[0] - TRUE[0]) <= half[0] for parts, half, _ in found]
    assert 0.9 < np.mean(inside) < 0.99


@pytest.mark.parametrize(
    ("views", "needed"),
    [
        ([], "needs a view of the curve"),
        ([View(ENERGY[:5], CURVE[:5], SIGMA[:5], GOOD[:, :5])], "need 6 points, found 5"),
        ([PLAIN._replace(curve=np.full(ENERGY.size, np.nan))], "a number at every point"),
    ],
)
def test_too_little_is_refused(views, needed):
    with pytest.raises(ValueError, match=needed):
        fan(views, [Doubt(0.1, 0.1)] * 2, 2)


def test_it_holds_the_truth_nine_times_in_ten_where_the_formal_interval_seldom_does():
    """A short version of `benchmarks/fan_coverage.py`, same seeds every time."""
    cells = benchmark("fan_coverage").measured(runs=12)
    assert min(cell.fan for cell in cells) >= 0.85
    assert np.mean([cell.formal for cell in cells]) < 0.5
