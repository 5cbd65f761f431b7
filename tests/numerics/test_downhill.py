"""Many searches at once, against closed forms and against each alone."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares, lsq_linear

from edgeshift.numerics.downhill import search

RNG = np.random.default_rng(3)
COLUMNS, GOAL = RNG.standard_normal((30, 3)), RNG.standard_normal(30)
NO_BOUND = np.full((1, 3), np.inf)


def straight(start: np.ndarray, low: np.ndarray, high: np.ndarray, of: np.ndarray):
    """A model that is linear in its parameters."""
    return search(
        lambda at, here: at @ COLUMNS.T - GOAL,
        lambda at, here: np.broadcast_to(COLUMNS.T, (len(at), 3, 30)),
        start, low, high, of,
    )  # fmt: skip


def test_a_linear_model_ends_where_the_closed_form_is():
    found = straight(np.ones((1, 3)), -NO_BOUND, NO_BOUND, np.zeros(1, int))
    best, rss, *_ = np.linalg.lstsq(COLUMNS, GOAL)
    np.testing.assert_allclose(found.parameters[0], best, rtol=1e-10)
    assert found.rss[0] == pytest.approx(rss[0], rel=1e-12)
    assert not found.held.any()


def test_a_parameter_that_would_go_beyond_is_held_at_its_bound():
    best = np.linalg.lstsq(COLUMNS, GOAL)[0]
    low, high = best - 1.0, best + 1.0
    low[0], high[2] = best[0] + 0.1, best[2] - 0.2
    found = straight(np.clip(np.zeros((1, 3)), low, high), low[None], high[None], np.zeros(1, int))
    slow = lsq_linear(COLUMNS, GOAL, (low, high), tol=1e-14)
    np.testing.assert_allclose(found.parameters[0], slow.x, rtol=1e-6)
    assert found.held[0].tolist() == [True, False, True]


def test_searches_side_by_side_end_where_each_ends_alone():
    at = np.linspace(0.0, 4.0, 40)
    rates = RNG.uniform(0.5, 2.0, 60)
    goals = np.exp(-rates[:, None] * at) + 0.01 * RNG.standard_normal((60, 40))

    def left(now, here):
        return now[:, :1] * np.exp(-now[:, 1:] * at) - goals[here]

    def slopes(now, here):
        fall = np.exp(-now[:, 1:] * at)
        return np.stack([fall, -now[:, :1] * at * fall], axis=1)

    bound = np.full((60, 2), np.inf)
    found = search(left, slopes, np.full((60, 2), 1.0), -bound, bound, np.arange(60))
    for number in range(60):
        alone = least_squares(
            lambda now, number=number: now[0] * np.exp(-now[1] * at) - goals[number], [1.0, 1.0], xtol=1e-14
        )
        assert found.rss[number] == pytest.approx(2 * alone.cost, rel=1e-9)
        np.testing.assert_allclose(found.parameters[number], alone.x, rtol=1e-5)


def test_a_start_without_a_number_is_one_that_did_not_settle():
    found = straight(np.array([[np.nan] * 3, [0.0] * 3]), -NO_BOUND.repeat(2, 0), NO_BOUND.repeat(2, 0),
                     np.zeros(2, int))  # fmt: skip
    assert found.rss[0] == np.inf and np.isfinite(found.rss[1])


def test_of_starts_that_meet_one_goes_on_and_the_others_do_not_count():
    start = RNG.uniform(-5, 5, (6, 3))
    bound = np.broadcast_to(NO_BOUND, (6, 3))
    found = straight(start, -bound, bound, np.zeros(6, int))
    assert np.isfinite(found.rss).any()
    best = np.nanargmin(found.rss)
    np.testing.assert_allclose(found.parameters[best], np.linalg.lstsq(COLUMNS, GOAL)[0], rtol=1e-9)
