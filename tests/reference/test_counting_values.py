"""Dead time and counting noise against published examples."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.numerics.counting import (
    greatest_paralysable_rate,
    live_rate,
    live_rate_sigma,
    measured_rate,
    paralysable_measured_rate,
    paralysable_rates,
)

MICROSECOND = 1e-6


def test_a_blind_microsecond_at_a_hundred_thousand_counts():
    assert live_rate(np.array([1e5]), MICROSECOND, 0.0)[0] == pytest.approx(111111.1, abs=0.1)
    assert measured_rate(np.array([1e6]), MICROSECOND)[0] == pytest.approx(500000, abs=1)


def test_measured_151500_with_1_6_microseconds_is_200_thousand():
    # arithmetic: 151500 / (1 - 151500 * 1.6e-6) = 199958
    assert live_rate(np.array([151.5e3]), 1.6e-6, 0.0)[0] == pytest.approx(200e3, rel=5e-4)


def test_the_noise_of_corrected_counts_is_the_root_times_the_correction():
    # ORTEC application notes, eq. 19: sigma_Q^2 = Q (Q/q); q = 10000, Q/q = 1.1111: 111.11, not 105.41
    by_share = live_rate_sigma(np.array([1e4]), 1.0, 0.0, np.array([0.1]))[0]
    by_time = live_rate_sigma(np.array([1e4]), 1.0, 1e-5, 0.0)[0]
    assert by_share == pytest.approx(111.11, abs=0.01)
    assert by_time == pytest.approx(111.11, abs=0.01)


def test_a_paralysable_counter_has_two_answers():
    # Lambert W, branches 0 and -1
    low, high = paralysable_rates(np.array([1e5]), MICROSECOND)
    assert low[0] == pytest.approx(111832.6, abs=0.1)
    assert high[0] == pytest.approx(3577152, abs=1)
    assert paralysable_measured_rate(np.array([1e5]), MICROSECOND)[0] == pytest.approx(90483.7, abs=0.1)


def test_a_paralysable_counter_has_no_answer_above_its_maximum():
    assert greatest_paralysable_rate(MICROSECOND) == pytest.approx(367879.4, abs=0.1)
    assert paralysable_measured_rate(np.array([1e6]), MICROSECOND)[0] == pytest.approx(367879.4, abs=0.1)
    with pytest.raises(ValueError, match="at most 367879.4 per second can be counted, found 367880.0"):
        paralysable_rates(np.array([1e5, 367880.0]), MICROSECOND)
