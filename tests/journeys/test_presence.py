"""A small seeded share of benchmarks/presence_rates.py: no false element, what is large is seen."""

from __future__ import annotations

import pytest
from benchmark_modules import benchmark

from edgeshift.actions.practise import practice_scenario

rates = benchmark("presence_rates")
"""The benchmark itself: the same world, the same scoring, other seeds."""


def test_a_practice_shift_holds_no_false_element_and_its_traps_are_named():
    scenario = practice_scenario("riverbank-3")
    found = rates.answered(scenario, 60001, "T6,T7,T13,T19")
    outcomes = [outcome for outcome, _ in rates.scored(found, rates.truth(scenario), "T6,T7,T13,T19")]
    assert "false" not in outcomes and "missed" not in outcomes
    assert outcomes.count("right") >= 10
    named = rates.traps_named(found)
    assert named["T7"] and named["T13"] and named["T19"]
    assert found.detail["elements"]["Ba"]["verdict"] != "seen"


@pytest.mark.parametrize("first", [60100])
def test_elements_drawn_around_their_limits_are_told_as_promised(first):
    counts = [outcome for seed in range(first, first + 24) for outcome in rates.drawn_case(seed)]
    assert counts.count("false") == 0
    assert counts.count("above") >= 8
    assert counts.count("seen") >= counts.count("above") - 1
