"""The one place that turns unit curves into chances and bands."""

import numpy as np
import pytest

from edgeshift.questions.real import verdict

RNG = np.random.default_rng(11)


def test_a_feature_of_two_arms_is_welchs_test():
    control, treated = np.array([[1.0], [1.2], [0.9]]), np.array([[2.0], [3.0], [2.2], [2.9]])
    found = verdict.between_units(control, treated, paired=False)
    a, b = control.var(ddof=1) / 3, treated.var(ddof=1) / 4
    assert found.df == pytest.approx((a + b) ** 2 / (a**2 / 2 + b**2 / 3))
    assert found.standard_error[0] == pytest.approx(np.sqrt(a + b))


def test_pairs_have_one_degree_of_freedom_less_than_pairs():
    found = verdict.between_units(np.zeros((4, 5)), RNG.standard_normal((4, 5)), paired=True)
    assert found.df == 3


def test_one_unit_in_an_arm_is_untestable_whatever_the_other_has():
    found = verdict.between_units(np.zeros((1, 5)), RNG.standard_normal((8, 5)), paired=False)
    assert not found.testable
    assert found.words == "one unit in an arm: no test"
    assert found.chance == 1.0


def test_identical_units_cannot_judge_anything():
    found = verdict.between_units(np.ones((3, 5)), np.full((3, 5), 2.0), paired=False)
    assert not found.testable


def test_scatter_inside_groups_does_not_see_the_groups_apart():
    groups = [m + 0.01 * RNG.standard_normal((3, 4)) for m in (0.0, 5.0, -3.0)]
    found = verdict.within_units(np.ones(4), groups, 1.0)
    assert found.df == 6
    assert np.all(found.standard_error < 0.05)


def test_a_difference_that_would_have_shown_shows_four_times_in_five():
    """Simulated: planted at the printed size, the plain t test of 4 + 4 finds it in 0.8 of runs."""
    rng = np.random.default_rng(5)
    true_error = np.sqrt(2 / 4)
    sizes, hits = [], 0
    for _ in range(800):
        control, treated = rng.standard_normal((4, 1)), rng.standard_normal((4, 1))
        sizes.append(verdict.between_units(control, treated, False).would_have_shown(0.05))
    planted = float(np.median(sizes))
    for _ in range(1500):
        control, treated = rng.standard_normal((4, 1)), rng.standard_normal((4, 1)) + planted
        hits += verdict.between_units(control, treated, False).chance <= 0.05
    assert planted > 2 * true_error
    assert 0.7 < hits / 1500 < 0.9


def test_pairs_remove_what_the_pair_shares():
    rng = np.random.default_rng(7)
    shared = 10 * rng.standard_normal((3, 40))
    small = 0.01 * rng.standard_normal((3, 40))
    found = verdict.between_units(shared, shared + 1 + small, True).band(0.05)
    assert np.all(found.standard_error < 0.05)
    assert found.df == 2


def test_scaling_the_curves_scales_the_band_and_keeps_the_chance():
    rng = np.random.default_rng(8)
    control, treated = rng.standard_normal((3, 60)), rng.standard_normal((4, 60)) + 0.5
    one, ten = (verdict.between_units(k * control, k * treated, False).band(0.05) for k in (1, 10))
    np.testing.assert_allclose(ten.half_width, 10 * one.half_width)
    assert ten.chance == pytest.approx(one.chance)


@pytest.mark.parametrize(("arms", "share"), [((3, 3), 0.05), ((2, 2), 0.3), ((4, 4), 0.05)])
def test_it_holds_the_truth_about_as_often_as_it_says(arms, share):
    """A short seeded version of benchmarks/band_coverage.py: 0.93 to 0.99, less two standard errors."""
    energy = np.linspace(0, 1, 120)
    kernel = np.exp(-0.5 * ((energy[:, None] - energy) / share) ** 2)
    rng = np.random.default_rng(20261)
    held = 0
    for _ in range(400):
        rows = rng.standard_normal((sum(arms), 120)) @ kernel.T
        found = verdict.between_units(rows[: arms[0]], rows[arms[0] :], False).band(0.05)
        held += bool(np.all(np.abs(found.difference) <= found.half_width))
    assert 0.93 - 0.025 <= held / 400 <= 0.995
