"""The one place that turns unit curves into chances and bands."""

import math
from dataclasses import replace

import numpy as np
import pytest

from edgeshift.numerics.two_groups import pooled_t, welch_t
from edgeshift.questions.real import verdict

POINTS = 120
ENERGY = np.linspace(700, 760, POINTS)
MEAN = 0.5 + np.arctan((ENERGY - 715) / 0.8) / np.pi + np.exp(-(((ENERGY - 717) / 1.5) ** 2))


def units(seed: int, count: int, bump: float = 0.0, height: float = 0.0) -> np.ndarray:
    """Unit curves (count, POINTS) with white scatter and, if wanted, a bump or unequal heights."""
    rng = np.random.default_rng(seed)
    curves = MEAN * (1 + height * rng.standard_normal((count, 1)))
    bumped = bump * np.exp(-(((ENERGY - 740) / 2) ** 2))
    return curves + bumped + 0.02 * rng.standard_normal((count, POINTS))


def between(control: np.ndarray, treated: np.ndarray, paired: bool = False) -> verdict.CurveEvidence:
    return verdict.curves_between(ENERGY, control, treated, paired)


def test_equal_arms_are_judged_by_the_pooled_t_of_their_numbers():
    control, treated = np.array([1.0, 1.2, 0.9]), np.array([2.0, 3.0, 2.2])
    found = verdict.features_between(control, treated, paired=False)
    assert found.freedom[0] == 4
    assert found.standard_error[0] == pytest.approx(np.sqrt((control.var(ddof=1) + treated.var(ddof=1)) / 3))


def test_unequal_arms_are_judged_by_the_wider_of_pooled_and_welchs_t():
    loud, quiet = np.array([1.0, 3.0, 2.0]), np.array([2.0, 2.1, 2.2, 2.1, 2.0])
    for control, treated, test in ((loud, quiet, welch_t), (loud[:2] / 50, quiet, pooled_t)):
        found = verdict.features_between(control, treated, paired=False)
        assert found.freedom[0] == pytest.approx(test(treated, control).df)
        assert found.chance == pytest.approx(test(treated, control).p)


@pytest.mark.parametrize(("sizes", "ratio"), [((2, 8), 1.0), ((2, 8), 1 / 3), ((2, 4), 1 / 3), ((3, 6), 3.0)])
def test_a_feature_of_unequal_arms_is_silent_where_nothing_differs(sizes, ratio):
    """0.94, less two standard errors of 4000 shifts."""
    rng = np.random.default_rng(17)
    silent = [
        verdict.features_between(
            rng.standard_normal(sizes[0]), math.sqrt(ratio) * rng.standard_normal(sizes[1]), False
        ).chance
        > 0.05
        for _ in range(4000)
    ]
    assert np.mean(silent) >= 0.94 - 0.0075


def test_curves_with_gaps_or_hardly_any_energies_are_no_test():
    gappy = units(1, 3)
    gappy[0, 5] = np.nan
    assert "without a number" in between(gappy, units(2, 3)).words
    few = verdict.curves_between(ENERGY[:3], units(1, 3)[:, :3], units(2, 3)[:, :3], False)
    assert "too few energies" in few.words


def test_pairs_are_judged_by_what_differs_inside_them():
    found = verdict.features_between(np.array([1.0, 5.0, 9.0]), np.array([2.0, 6.1, 9.9]), paired=True)
    assert found.freedom[0] == 2
    assert found.standard_error[0] == pytest.approx(np.std([1.0, 1.1, 0.9], ddof=1) / math.sqrt(3))


@pytest.mark.parametrize(
    ("sizes", "paired", "words"),
    [((1, 8), False, "one unit in an arm: no test"), ((1, 1), True, "one pair: no test")],
)
def test_one_unit_is_untestable_whatever_the_other_arm_has(sizes, paired, words):
    control, treated = units(1, sizes[0]), units(2, sizes[1])
    assert between(control, treated, paired).words == words
    assert between(control, treated, paired).chance == 1.0
    assert verdict.features_between(control[:, 0], treated[:, 0], paired).words == words


def test_identical_units_cannot_judge_anything():
    assert not between(np.ones((3, POINTS)), np.full((3, POINTS), 2.0)).testable
    assert not verdict.features_between(np.ones(3), np.full(3, 2.0), paired=False).testable


def test_both_bands_share_the_level():
    found = between(units(3, 3), units(4, 3))
    assert found.chance == min(1.0, 2 * min(found.full.chance, found.shape.chance)) > 0.05
    np.testing.assert_allclose(found.band(0.05).half_width, found.full.band(0.025).half_width)
    np.testing.assert_allclose(found.shape_band(0.05).half_width, found.shape.band(0.025).half_width)


@pytest.mark.parametrize(("control", "treated"), [(3, 3), (3, 6)])
def test_a_band_excludes_zero_just_where_its_chance_is_below_the_level(control, treated):
    found = between(units(5, control), units(6, treated, bump=0.05))
    for band in (found.full, found.shape):
        for level in (0.2, 0.05, 0.001):
            passes = np.any(np.abs(band.difference) > band.band(level).half_width)
            assert bool(passes) == (band.chance < level)


@pytest.mark.parametrize("level", [0.2, 0.05, 0.01])
def test_the_verdict_agrees_with_the_bands_it_shows(level):
    for bump in (0.0, 0.04, 0.06, 0.1):
        found = between(units(3, 3), units(4, 3, bump=bump))
        shown = [found.band(level), found.shape_band(level)]
        left = any(np.any(np.abs(b.difference) > b.half_width) for b in shown)
        assert left == (found.chance < level)


def test_a_bump_shows_in_the_shape_though_heights_hide_it_from_the_full_band():
    found = between(units(7, 3, height=0.4), units(8, 3, bump=0.08, height=0.4))
    assert found.full.chance > 0.05
    assert found.shape.chance < 0.01
    assert abs(ENERGY[found.shape.farthest()] - 740) < 3


def test_a_change_of_height_alone_never_shows_in_the_shape():
    treated = 1.3 * MEAN + 0.02 * np.random.default_rng(9).standard_normal((3, POINTS))
    found = between(units(10, 3), treated)
    assert found.full.chance < 0.001
    assert found.shape.chance > 0.05


def phases(seed: int, count: int, share: float = 0.0) -> np.ndarray:
    """Units that differ only by their share of another phase, and a little noise."""
    rng = np.random.default_rng(seed)
    other = np.interp(ENERGY - 1.0, ENERGY, MEAN) - MEAN
    return (
        MEAN
        + (share + 0.1 * rng.standard_normal((count, 1))) * other
        + 0.02 * rng.standard_normal((count, POINTS))
    )


@pytest.mark.parametrize("sizes", [(2, 2), (3, 3), (3, 6)])
def test_units_that_wander_in_one_way_keep_the_promise_at_small_levels_too(sizes):
    """Chances below 0.05 and 0.01 come no oftener than that, with two standard errors of 400 shifts."""
    chances = np.array(
        [between(phases(3 * k, sizes[0]), phases(3 * k + 1, sizes[1])).chance for k in range(400)]
    )
    assert np.mean(chances < 0.05) <= 0.072
    assert np.mean(chances < 0.01) <= 0.02


def test_a_share_far_beyond_what_units_wander_is_seen():
    assert between(phases(5, 4), phases(6, 4, share=1.0)).chance < 0.01


def test_a_band_that_units_wander_along_is_widened_until_it_holds_zero():
    """The difference is of the very kind in which these units wander."""
    other = np.interp(ENERGY - 1.0, ENERGY, MEAN) - MEAN
    noise = 0.02 * np.random.default_rng(3).standard_normal((4, POINTS))
    shares = np.array([0.0, 0.1, 0.35, 0.4])[:, None]
    control, treated = np.split(MEAN + shares * other + noise, 2)
    found = between(control, treated).full
    alone = replace(found, along=0.0)
    assert alone.chance < 0.01 < 0.02 < found.chance
    assert np.any(np.abs(found.difference) > alone.band(0.02).half_width)
    assert np.all(np.abs(found.difference) <= found.band(0.02).half_width * (1 + 1e-12))


def test_the_arm_that_scatters_more_weighs_by_its_own_number_of_units():
    """Six quiet units against three loud ones: the loud three decide, with their two degrees of freedom."""
    rng = np.random.default_rng(13)
    loud, quiet = (
        MEAN + 0.3 * rng.standard_normal((3, POINTS)),
        MEAN + 0.01 * rng.standard_normal((6, POINTS)),
    )
    found = between(loud, quiet).full
    assert np.median(found.standard_error) == pytest.approx(0.3 / math.sqrt(3), rel=0.3)
    even = between(MEAN + 0.3 * rng.standard_normal((3, POINTS)), loud).full
    assert np.median(found.freedom) < np.median(even.freedom)


def test_pairs_remove_what_the_pair_shares():
    rng = np.random.default_rng(7)
    shared = 10 * rng.standard_normal((3, POINTS))
    found = between(shared, shared + 1 + 0.01 * rng.standard_normal((3, POINTS)), paired=True)
    assert np.all(found.full.standard_error < 0.05)


def test_scaling_the_curves_scales_the_band_and_keeps_the_chance():
    control, treated = units(14, 3), units(15, 4, bump=0.04)
    one, ten = between(control, treated), between(10 * control, 10 * treated)
    np.testing.assert_allclose(ten.band(0.05).half_width, 10 * one.band(0.05).half_width)
    assert ten.chance == pytest.approx(one.chance)


def test_exchanging_the_arms_turns_the_difference_and_keeps_the_chance():
    one, other = between(units(16, 3), units(17, 5)), between(units(17, 5), units(16, 3))
    np.testing.assert_allclose(one.full.difference, -other.full.difference)
    assert one.chance == pytest.approx(other.chance)


def test_repeats_inside_groups_do_not_see_the_groups_apart():
    groups = [units(20 + k, 3) + k for k in range(3)]
    means = np.vstack([MEAN, MEAN + 1])
    found = verdict.curves_within(ENERGY, means, groups, 0.5)
    assert np.median(found.full.standard_error) == pytest.approx(0.02 * math.sqrt(0.5), rel=0.2)
    number = verdict.features_within(1.0, [g[:, 0] for g in groups], 0.5)
    assert number.freedom[0] == 6
    assert number.standard_error[0] < 0.05


def test_nothing_repeated_is_no_test():
    alone = [units(1, 1), units(2, 1)]
    assert verdict.curves_within(ENERGY, np.vstack(alone), alone, 1.0).words.startswith(
        "nothing was repeated"
    )
    assert verdict.features_within(0.1, [np.ones(1)], 1.0).words.startswith("nothing was repeated")


def test_noise_that_the_scans_carry_pays_for_every_point():
    found = verdict.known_noise(np.zeros(100), np.ones(100))
    np.testing.assert_allclose(found.band(0.05).half_width, 3.48, atol=0.01)
    assert not verdict.known_noise(np.zeros(2), np.array([1.0, np.nan])).testable


def test_a_difference_that_would_have_shown_shows_four_times_in_five():
    """Simulated: planted at the printed size, the plain t test of 4 + 4 finds it in 0.8 of runs."""
    rng = np.random.default_rng(5)
    sizes, hits = [], 0
    for _ in range(800):
        found = verdict.features_between(*rng.standard_normal((2, 4)), False)
        sizes.append(found.would_have_shown(0.05))
    planted = float(np.median(sizes))
    for _ in range(1500):
        control, treated = rng.standard_normal((2, 4))
        hits += verdict.features_between(control, treated + planted, False).chance <= 0.05
    assert planted > 2 * math.sqrt(2 / 4)
    assert 0.7 < hits / 1500 < 0.9
