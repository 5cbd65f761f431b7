"""The loss of a counter is undone once, and what is left unknown is what chance leaves."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.counting import live_rate, live_rate_sigma, lost_share, measured_rate


def counted_by_a_blind_counter(rate: float, dead_time_s: float, runs: int, seed: int) -> np.ndarray:
    """Counts in one second: after each count the counter sleeps, then waits for the next arrival."""
    rng = np.random.default_rng(seed)
    waits = dead_time_s + rng.exponential(1 / rate, (runs, int(2 * rate)))
    return (np.cumsum(waits, axis=1) < 1.0).sum(axis=1)


def test_a_simulated_counter_gives_back_its_rate_and_the_scatter_that_is_claimed():
    rate, dead_time = 1000.0, 4e-4
    counts = counted_by_a_blind_counter(rate, dead_time, 2000, 1)
    found = live_rate(counts, dead_time, 0.0)
    claimed = live_rate_sigma(counts, 1.0, dead_time, 0.0)
    assert found.mean() == pytest.approx(rate, rel=0.003)
    assert claimed.mean() == pytest.approx(found.std(ddof=1), rel=0.05)


def test_a_reported_dead_share_is_divided_out():
    assert live_rate(np.array([60.0]), 0.0, np.array([0.4]))[0] == pytest.approx(100.0)


def test_correcting_undoes_what_the_counter_did():
    true = np.array([0.0, 10.0, 1e5, 1e6])
    assert live_rate(measured_rate(true, 1.6e-6), 1.6e-6, 0.0) == pytest.approx(true)


def test_a_longer_dwell_knows_the_rate_better():
    short, long = live_rate_sigma(np.array([1e4, 1e4]), np.array([1.0, 4.0]), 0.0, 0.0)
    assert short == pytest.approx(2 * long)


def test_no_count_is_known_no_better_than_one():
    assert live_rate_sigma(np.array([0.0]), 2.0, 0.0, 0.0)[0] == pytest.approx(0.5)


def test_a_rate_that_no_true_rate_gives_is_missing_not_negative():
    found = live_rate(np.array([1e5, 1.5e6]), 1e-6, 0.0)
    assert np.isfinite(found).tolist() == [True, False]
    assert np.isnan(lost_share(np.array([10.0]), 0.0, np.array([1.0]))).all()


def test_a_loss_is_undone_once():
    with pytest.raises(ValueError, match="found both"):
        live_rate(np.array([10.0]), 1e-6, np.array([0.1]))


def test_a_negative_dead_time_is_refused():
    with pytest.raises(ValueError, match="0 s or longer, found -1"):
        live_rate(np.array([10.0]), -1.0, 0.0)
