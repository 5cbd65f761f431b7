"""Units, spots and scans share the scatter; what more of each would do is foretold, or not told."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.scatter_shares import (
    Counts,
    Nest,
    carried,
    counts,
    fit,
    one_more_scan,
    one_more_spot,
    one_more_unit,
)

NO_PAIRS = None


def nest(scans_of_spots: list[list[int]], pairs: np.ndarray | None = NO_PAIRS) -> Nest:
    """Units given by the scans of each of their spots; the first half is arm 0."""
    units = len(scans_of_spots)
    unit_of_spot = np.repeat(np.arange(units), [len(spots) for spots in scans_of_spots])
    scans = [count for spots in scans_of_spots for count in spots]
    spot_of_scan = np.repeat(np.arange(len(scans)), scans)
    return Nest(spot_of_scan, unit_of_spot, np.arange(units) * 2 // units, pairs)


def drawn(seed: int, places: Nest, deviations: tuple, points: int) -> np.ndarray:
    """Scans whose units, spots and scans scatter with these deviations, anew at every point."""
    rng = np.random.default_rng(seed)
    unit, spot, scan = (
        deviation * rng.standard_normal((rows, points))
        for deviation, rows in zip(
            deviations,
            (len(places.arm_of_unit), len(places.unit_of_spot), len(places.spot_of_scan)),
            strict=True,
        )
    )
    return unit[places.unit_of_spot[places.spot_of_scan]] + spot[places.spot_of_scan] + scan


def dense_log_likelihood(values: np.ndarray, places: Nest, shares: np.ndarray) -> float:
    """The restricted log-likelihood from the whole covariance of all scans, summed over points."""
    unit = places.unit_of_spot[places.spot_of_scan]
    same_spot = places.spot_of_scan[:, None] == places.spot_of_scan
    covariance = shares[0] * (unit[:, None] == unit) + shares[1] * same_spot + shares[2] * np.eye(len(unit))
    arms = (places.arm_of_unit[unit][:, None] == np.arange(2)).astype(float)
    if places.pair_of_unit is not None:
        pairs = places.pair_of_unit[unit][:, None] == np.arange(places.pair_of_unit.max() + 1)
        arms = np.hstack([pairs.astype(float), arms[:, 1:]])
    inverse = np.linalg.inv(covariance)
    information = arms.T @ inverse @ arms
    left = inverse - inverse @ arms @ np.linalg.solve(information, arms.T @ inverse)
    freedom = len(unit) - arms.shape[1]
    size = np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(information)[1]
    squares = np.einsum("ij,ik,kj->j", values, left, values)
    return float(-0.5 * np.sum(size + freedom * np.log(squares)))


UNEVEN = [[3, 1], [2], [4, 2, 1], [1, 2], [2, 2], [1]]


@pytest.mark.parametrize("pairs", [None, np.array([0, 1, 2, 2, 0, 1])])
def test_small_blocks_give_the_likelihood_of_the_whole_covariance(pairs):
    places = nest(UNEVEN, pairs)
    values = drawn(1, places, (1.0, 0.7, 0.5), 1)
    found = fit(values, places)
    assert found.independent == 1.0
    some = [40, 500, 777, 1200]
    dense = [dense_log_likelihood(values, places, found.shares[cell]) for cell in some]
    assert np.diff(found.log_likelihood[some]) == pytest.approx(np.diff(dense), abs=1e-8)


def test_much_data_finds_the_shares():
    places = nest([[3, 2, 3]] * 40)
    found = fit(drawn(2, places, (1.0, 0.7, 0.5), 20), places)
    true = np.array([1.0, 0.49, 0.25])
    assert found.likeliest == pytest.approx(true / true.sum(), abs=0.05)
    assert found.df == (38, 80, 200)


def test_what_reaches_the_difference_by_hand():
    """Two units an arm: 4 (1/4) units; spots 1, 1/2, 1, 1 of it; scans 1/2, 1/4 + 1/8, 1/3, 1."""
    now = counts(nest([[2], [1, 2], [3], [1]]))
    assert carried(now) == pytest.approx([1.0, 3.5 / 4, (1 / 2 + 3 / 8 + 1 / 3 + 1) / 4])


def test_a_unit_without_its_partner_has_no_part_in_the_difference():
    now = counts(nest([[1], [1], [1], [1]], np.array([0, 1, 0, 2])))
    assert now.weight == pytest.approx([1.0, 0.0, 1.0, 0.0])


def test_more_is_counted_where_it_is_measured():
    now = counts(nest([[2, 5], [1]]))
    assert one_more_scan(now).scans == pytest.approx([3, 6, 2])
    more = one_more_spot(now)
    assert more.scans == pytest.approx([2, 5, 1, 4, 1])
    assert more.unit_of_spot == pytest.approx([0, 0, 1, 0, 1])


@pytest.mark.parametrize("units", [2, 3, 5])
def test_one_more_unit_is_told_whatever_the_shares(units):
    places = nest([[1]] * 2 * units)
    now = counts(places)
    found = fit(drawn(3, places, (1.0, 1.0, 1.0), 1), places).ratio(now, one_more_unit(now))
    assert (found.low, found.middle, found.high) == pytest.approx([units / (units + 1)] * 3)
    assert found.reason == ""


def test_what_pairs_share_is_left_out():
    pairs = np.tile(np.arange(3), 2)
    places = nest([[2, 2]] * 6, pairs)
    values = drawn(4, places, (1.0, 1.0, 1.0), 30)
    shared = 100 * np.random.default_rng(5).standard_normal((3, 30))
    moved = values + shared[pairs[places.unit_of_spot[places.spot_of_scan]]]
    assert fit(moved, places).log_likelihood == pytest.approx(fit(values, places).log_likelihood, abs=1e-6)
    assert fit(values, places).df == (2, 6, 12)


def test_a_mean_difference_of_the_arms_and_the_unit_of_measure_change_nothing():
    places = nest([[2, 2]] * 4)
    values = drawn(6, places, (1.0, 1.0, 1.0), 30)
    arm = places.arm_of_unit[places.unit_of_spot[places.spot_of_scan]]
    moved = 1e-3 * (values + 50 * arm[:, None])
    assert fit(moved, places).log_likelihood == pytest.approx(fit(values, places).log_likelihood, abs=1e-6)


def test_copies_of_one_feature_are_one_feature():
    places = nest([[2, 3]] * 6)
    one = drawn(7, places, (1.0, 1.0, 1.0), 1)
    copied = fit(np.repeat(one, 50, axis=1) * np.linspace(1, 3, 50), places)
    assert copied.independent == pytest.approx(1.0)
    assert copied.log_likelihood == pytest.approx(fit(one, places).log_likelihood)


def test_independent_energies_are_counted_about_right():
    places = nest([[2, 2]] * 16)
    assert 25 < fit(drawn(8, places, (1.0, 1.0, 1.0), 40), places).independent <= 40


@pytest.mark.parametrize(
    ("scans_of_spots", "pairs", "act", "reason"),
    [
        ([[1]] * 4, None, one_more_spot, "one-spot"),
        ([[3]] * 4, None, one_more_spot, "one-spot"),
        ([[1, 1]] * 4, None, one_more_scan, "one-scan"),
        ([[2, 2]] * 2, None, one_more_spot, "one-unit"),
        ([[2, 2]] * 2, np.array([0, 0]), one_more_spot, "one-unit"),
        ([[1]] * 2, None, one_more_spot, "nothing-repeated"),
        ([[2, 1]] * 4, None, one_more_spot, "few-units"),
        ([[2, 2], [2], [2]] * 2, None, one_more_spot, "wide"),
    ],
)
def test_what_cannot_be_told_says_why(scans_of_spots, pairs, act, reason):
    places = nest(scans_of_spots, pairs)
    now = counts(places)
    found = fit(drawn(9, places, (0.6, 1.0, 1.0), 1), places).ratio(now, act(now))
    assert found.reason == reason
    assert found.high > 1.44 * found.low


@pytest.mark.parametrize(("units", "reason"), [(4, "few-units"), (5, "")])
def test_a_narrow_range_of_two_units_an_arm_is_shown_but_not_told(units, reason):
    places = nest([[4, 4]] * units)
    now = counts(places)
    found = fit(drawn(13, places, (20.0, 0.1, 0.1), 40), places).ratio(now, one_more_spot(now))
    assert found.high < 1.44 * found.low
    assert found.reason == reason


def test_what_holds_for_any_shares_is_told_of_two_units_too():
    places = nest([[9, 9]] * 4)
    now = counts(places)
    found = fit(drawn(15, places, (1.0, 1.0, 1.0), 1), places)
    assert found.ratio(now, one_more_scan(now)).reason == ""


def test_more_scans_are_foretold_although_one_spot_hides_what_spots_do():
    places = nest([[4]] * 8)
    now = counts(places)
    found = fit(drawn(10, places, (1.0, 1.0, 0.5), 30), places).ratio(now, one_more_scan(now))
    assert found.reason == ""
    assert found.low <= (2 + 0.25 / 5) / (2 + 0.25 / 4) <= found.high


def test_points_without_any_scatter_are_left_out_and_none_is_refused():
    places = nest([[2, 2]] * 4)
    values = drawn(11, places, (1.0, 1.0, 1.0), 5)
    padded = np.hstack([values, np.full((len(values), 3), 7.1)])
    assert fit(padded, places).log_likelihood == pytest.approx(fit(values, places).log_likelihood)
    with pytest.raises(ValueError, match="some scatter among repeats, found none"):
        fit(np.full((16, 3), 7.1), places)


def test_labels_that_do_not_fit_are_refused():
    places = nest([[2, 2]] * 4)
    values = drawn(12, places, (1.0, 1.0, 1.0), 2)
    with pytest.raises(ValueError, match=r"one row for each of 16 scans, found \(15, 2\)"):
        fit(values[1:], places)
    with pytest.raises(ValueError, match="finite numbers"):
        fit(np.where(values == values[0, 0], np.nan, values), places)
    with pytest.raises(ValueError, match="needed arms numbered 0 to 1 without a gap"):
        fit(values, places._replace(arm_of_unit=np.zeros(4, int)))
    with pytest.raises(ValueError, match="needed one whole pair at least, found none"):
        fit(values, places._replace(pair_of_unit=np.arange(4)))
    with pytest.raises(ValueError, match="one unit of each arm in a pair, found two"):
        fit(values, places._replace(pair_of_unit=np.array([0, 0, 0, 1])))


def test_a_layout_may_be_written_by_hand():
    now = Counts(np.array([2.0, 2.0]), np.array([0, 1]), np.ones(2))
    assert carried(now) == pytest.approx([2, 2, 1])
