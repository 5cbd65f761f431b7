"""What a design could find: against figures that others simulated, and against tests of invented units."""

import numpy as np
import pytest

from edgeshift.numerics.power import detectable
from edgeshift.numerics.two_groups import paired_t, pooled_t

POWER, LEVEL, RUNS = 0.8, 0.05, 4000


@pytest.mark.parametrize(("units", "sigmas"), [(2, 5.7), (3, 3.1), (4, 2.4), (5, 2.0)])
def test_equal_arms_find_what_the_planning_computed_by_simulation(units, sigmas):
    assert detectable(units, units, False, LEVEL, POWER) == pytest.approx(sigmas, abs=0.05)


@pytest.mark.parametrize(
    ("first", "second", "paired", "level"),
    [
        (3, 3, False, LEVEL),
        (2, 5, False, LEVEL),
        (3, 3, True, LEVEL),
        (5, 5, True, 0.0125),
        (4, 4, False, 0.01),
    ],
)
def test_invented_units_that_differ_so_much_are_found_four_times_in_five(first, second, paired, level):
    away = detectable(first, second, paired, level, POWER)
    chance = np.random.default_rng(20261125)
    test = paired_t if paired else pooled_t
    found = [
        test(chance.normal(size=first), chance.normal(size=second) + away).p < level for _ in range(RUNS)
    ]
    assert np.mean(found) == pytest.approx(POWER, abs=4 * np.sqrt(POWER * (1 - POWER) / RUNS))


def test_of_pairs_only_whole_ones_count():
    assert detectable(4, 3, True, LEVEL, POWER) == detectable(3, 3, True, LEVEL, POWER)


def test_one_unit_finds_nothing():
    with pytest.raises(ValueError, match="two units in each group, found 1 and 5"):
        detectable(1, 5, False, LEVEL, POWER)


@pytest.mark.parametrize(("level", "power"), [(0.0, 0.8), (0.05, 1.0), (0.5, 0.4)])
def test_chances_that_are_none_are_refused(level, power):
    with pytest.raises(ValueError, match="0 < level < power < 1"):
        detectable(3, 3, False, level, power)
