"""What more spots or scans would do is foretold from few repeats: a short version of the benchmark."""

from __future__ import annotations

import numpy as np
import pytest
from benchmark_modules import benchmark

RUNS = 60


@pytest.fixture(scope="module")
def foretold() -> dict:
    """Mix -> shares of runs at three units an arm and four features."""
    ratios = benchmark("variance_ratios")
    design, kind = ratios.DESIGNS["3+3"], ratios.KINDS["four features"]
    return {
        mix: ratios.cell(design, sd, kind, RUNS, 9000 + i) for i, (mix, sd) in enumerate(ratios.MIXES.items())
    }


def test_three_units_and_four_features_foretell_both_acts_in_every_mix_but_the_corner(foretold):
    ratios = benchmark("variance_ratios")
    assert len(foretold) - 1 >= 4
    for mix, found in foretold.items():
        if mix != ratios.HARD:
            assert found.near.min() >= ratios.GOAL, mix


def test_a_number_that_is_told_is_seldom_wrong(foretold):
    told = sum(found.told for found in foretold.values())
    right = sum(found.told_near for found in foretold.values())
    assert np.all(right >= 0.9 * told)
    assert np.all(told > 0.6 * len(foretold))


def test_the_range_holds_the_truth_as_often_as_it_says(foretold):
    assert np.all(np.mean([found.held for found in foretold.values()], axis=0) >= 0.8)


def test_two_pairs_and_one_feature_tell_only_what_holds_for_any_shares():
    ratios = benchmark("variance_ratios")
    found = ratios.cell((2, True), ratios.MIXES["all alike"], ratios.KINDS["one feature"], RUNS, 9100)
    assert found.told[0] < 0.2
    assert found.told_near[0] == found.told[0]
    assert found.held.min() >= 0.8
