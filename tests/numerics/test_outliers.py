import numpy as np
import pytest

from edgeshift.numerics import outliers

ENERGY = np.concatenate(
    [np.arange(80.0, 95.0, 0.5), np.arange(95.0, 110.0, 0.15), np.arange(110.0, 130.0, 0.4)]
)
NOISE = 0.006


def line(energy, height=1.5):
    return (
        1.0 + 0.5 + np.arctan((energy - 99.5) / 0.6) / np.pi + height * np.exp(-(((energy - 100) / 1.2) ** 2))
    )


def scans(count, rng, height=1.5):
    rows = [
        (1 + 0.1 * rng.normal()) * line(ENERGY - 0.02 * rng.normal(), height + 0.03 * rng.normal())
        for _ in range(count)
    ]
    return np.array([row * (1 + NOISE * rng.standard_normal(row.size)) for row in rows])


def top(rows):
    return int(np.argmax(rows.mean(axis=0)))


@pytest.mark.parametrize("others", [1, 2, 3])
def test_a_blip_of_four_percent_on_the_white_line_stands_out_against_other_scans(others):
    rng = np.random.default_rng(others)
    found = []
    for _ in range(40):
        rows = scans(others + 1, rng)
        here = top(rows)
        rows[0, here] *= 1 + 0.04 * rng.choice([-1, 1])
        found.append(abs(outliers.against(ENERGY, rows[0], rows[1:]).score[here]) > 3.0)
    assert np.mean(found) >= 0.95


def test_clean_scans_rarely_pass_four_and_a_half():
    rng = np.random.default_rng(10)
    loudest = []
    for _ in range(60):
        rows = scans(3, rng)
        loudest.append(np.nanmax(np.abs(outliers.against(ENERGY, rows[0], rows[1:]).score)))
    assert np.mean(np.array(loudest) > 4.5) <= 0.05


def test_a_blip_in_another_scan_is_not_laid_on_this_one():
    rng = np.random.default_rng(11)
    blamed = []
    for _ in range(30):
        rows = scans(3, rng)
        rows[1, 40] *= 1.10
        blamed.append(abs(outliers.against(ENERGY, rows[0], rows[1:]).score[40]) > 3.75)
    assert np.mean(blamed) <= 0.04


def test_of_two_scans_the_bent_one_is_named():
    rng = np.random.default_rng(12)
    rows = scans(2, rng)
    rows[0, 150] *= 1.06
    assert abs(outliers.against(ENERGY, rows[0], rows[1:]).score[150]) > 4.5
    assert abs(outliers.against(ENERGY, rows[1], rows[:1]).score[150]) < 3.0


def test_a_true_difference_in_line_height_is_no_blip():
    rng = np.random.default_rng(13)
    rows = np.vstack([scans(1, rng, 1.5), scans(2, rng, 1.7)])
    assert np.nanmax(np.abs(outliers.against(ENERGY, rows[0], rows[1:]).score)) < 4.5


def test_a_sharp_white_line_alone_is_no_blip():
    rng = np.random.default_rng(14)
    sharp = 1.0 + 5.0 * np.exp(-(((ENERGY - 100.0) / 0.35) ** 2))
    value = sharp * (1 + NOISE * rng.standard_normal(ENERGY.size))
    assert np.nanmax(np.abs(outliers.alone(ENERGY, value).score)) < 6.0


def test_a_blip_of_ten_percent_on_a_calm_stretch_stands_out_alone():
    rng = np.random.default_rng(15)
    value = scans(1, rng)[0]
    value[150] *= 0.9
    assert abs(outliers.alone(ENERGY, value).score[150]) > 6.0


def test_where_the_others_do_not_reach_nothing_is_scored():
    rows = scans(2, np.random.default_rng(16))
    rows[1, :40] = np.nan
    score = outliers.against(ENERGY, rows[0], rows[1:]).score
    assert np.isnan(score[:35]).all() and np.isfinite(score[60:]).all()


def test_others_without_a_single_number_leave_everything_unscored():
    rows = scans(2, np.random.default_rng(17))
    rows[1] = np.nan
    assert np.isnan(outliers.against(ENERGY, rows[0], rows[1:]).score).all()


def test_very_short_scans_are_not_judged():
    assert np.isnan(outliers.alone(np.arange(7.0), np.arange(7.0)).score).all()


def test_a_missing_point_stays_unscored_and_harms_no_neighbour():
    value = scans(1, np.random.default_rng(18))[0]
    value[100] = np.nan
    score = outliers.alone(ENERGY, value).score
    assert np.isnan(score[100]) and np.isfinite(np.delete(score, 100)).all()


def test_only_the_loudest_of_a_neighbourhood_is_taken():
    score = np.array([0.0, 5.0, 7.0, -6.0, 0.0, 0.0, 0.0, 0.0, -8.0])
    assert np.flatnonzero(outliers.loudest(score, np.full(9, 4.0), 2)).tolist() == [2, 8]


def test_many_scans_at_once_get_what_each_gets_alone():
    rows = scans(4, np.random.default_rng(19))
    rows[1, 40], rows[2, 100:103] = np.nan, 3.0
    others = np.array([np.delete(rows, number, axis=0) for number in range(4)])
    energy = np.broadcast_to(ENERGY, rows.shape)
    beside, own = outliers.against(energy, rows, others), outliers.alone(energy, rows)
    for number in range(4):
        one = outliers.against(ENERGY, rows[number], others[number])
        np.testing.assert_allclose(beside.score[number], one.score, rtol=1e-7, atol=1e-9)
        np.testing.assert_allclose(own.score[number], outliers.alone(ENERGY, rows[number]).score, rtol=1e-7)


@pytest.mark.parametrize("scale", [1e-12, 1e-10, 1e-4, 1e6])
def test_the_unit_of_the_scans_changes_no_score(scale):
    rows = scans(3, np.random.default_rng(20))
    rows[0, 150] *= 1.06
    one = outliers.against(ENERGY, rows[0], rows[1:])
    other = outliers.against(ENERGY, scale * rows[0], scale * rows[1:])
    np.testing.assert_allclose(other.score, one.score, rtol=1e-5, atol=1e-6)
    np.testing.assert_allclose(other.sigma, scale * one.sigma, rtol=1e-6)
    own, scaled = (outliers.alone(ENERGY, factor * rows[0]) for factor in (1.0, scale))
    np.testing.assert_allclose(scaled.score, own.score, rtol=1e-5, atol=1e-6)


def test_a_dead_level_column_has_no_blip():
    found = outliers.alone(ENERGY, np.full(ENERGY.size, 75.1))
    assert np.nanmax(np.abs(found.score)) < 0.1
    assert np.isnan(outliers.alone(ENERGY, np.zeros(ENERGY.size)).score).all()
