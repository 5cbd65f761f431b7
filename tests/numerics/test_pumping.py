"""Shapes of a pump-down: what is known comes back, and what carries no forecast is refused."""

import numpy as np
import pytest

from edgeshift.numerics import pumping
from edgeshift.numerics.pumping import rise, weigh

NOISE = np.random.default_rng(11)
MINUTES = np.arange(2.0, 30.0, 0.5)
AT = (0.1, 0.5, 0.9)


def log(slow=0.0, floor=0.0, fast=3.0e-5, noise=0.02, minutes=MINUTES):
    """Readings of a load whose gas is known, mbar."""
    clean = floor + fast / minutes + slow / np.sqrt(minutes)
    return clean * np.exp(noise * NOISE.standard_normal(minutes.size))


def test_weights_add_up_to_one():
    assert weigh(MINUTES, log(), True).weight.sum() == pytest.approx(1.0)


def test_a_fall_as_one_over_time_is_foretold():
    low, middle, high = weigh(MINUTES, log(), True).minutes_to(5e-7, AT)
    assert low < 30.5 < high
    assert middle == pytest.approx(30.5, rel=0.15)


def test_a_start_that_nobody_told_widens_the_forecast():
    readings = log()
    told = weigh(MINUTES, readings, True).minutes_to(5e-7, AT)
    untold = weigh(MINUTES - MINUTES[0], readings, False).minutes_to(5e-7, AT)
    assert untold[0] < 30.5 < untold[2]
    assert untold[2] - untold[0] > told[2] - told[0]


def test_slow_gas_is_told_from_fast_gas():
    share = [shapes.mean(shapes.slow) for shapes in (weigh(MINUTES, log(**gas), True) for gas in
             ({"slow": 0.0}, {"slow": 2e-5, "fast": 1e-6}))]  # fmt: skip
    assert share[0] < 0.25 and share[1] > 0.75


def test_a_floor_above_the_limit_means_never():
    shapes = weigh(MINUTES, log(floor=2e-6), True)
    assert shapes.mean(shapes.floor) > 0.4
    assert shapes.minutes_to(1e-6, AT)[1] == np.inf


def test_a_step_of_the_gauge_is_found_and_does_not_bend_the_forecast():
    readings = log()
    readings[30:] *= 1.5
    shapes = weigh(MINUTES, readings, True)
    assert len(shapes.steps) == 1 and abs(shapes.steps[0] - 30) <= 1
    low, _, high = shapes.minutes_to(7.5e-7, AT)
    assert low < 30.5 < high


def test_a_smooth_log_has_no_steps():
    found = [len(weigh(MINUTES, log(), True).steps) for _ in range(20)]
    assert sum(found) <= 1


def test_a_burst_of_gas_does_not_carry_the_forecast_away():
    readings = log() * (1 + 0.8 * np.exp(-np.maximum(MINUTES - 14, 0) / 1.5) * (MINUTES >= 14))
    low, _, high = weigh(MINUTES, readings, True).minutes_to(5e-7, AT)
    assert low < 30.5 < high


def test_the_fan_opens_from_the_present_and_falls():
    shapes = weigh(MINUTES, log(), True)
    low, middle, high = shapes.pressure(np.array([0.0, 5.0, 20.0]), AT)
    assert np.all(low <= middle) and np.all(middle <= high)
    assert np.all(np.diff(middle) < 0)
    assert high[0] / low[0] < 1.1 < high[2] / low[2]


def test_the_fan_crosses_the_limit_where_the_forecast_says():
    shapes = weigh(MINUTES, log(), True)
    _, middle, _ = shapes.minutes_to(5e-7, AT)
    assert shapes.pressure(np.array([middle]), (0.5,))[0, 0] == pytest.approx(5e-7, rel=0.03)


def test_a_long_log_weighs_no_more_readings_than_it_needs(monkeypatch):
    long = np.arange(2.0, 30.0, 0.01)
    assert weigh(long, log(minutes=long), True).minutes_to(5e-7, AT)[1] == pytest.approx(30.5, rel=0.15)
    assert long.size > 10 * pumping.MOST


@pytest.mark.parametrize(
    ("minutes", "mbar", "word"),
    [
        (MINUTES[:7], log()[:7], "few"),
        (MINUTES, np.append(log()[:-1], 0.0), "order"),
        (MINUTES[::-1], log(), "order"),
        (MINUTES - 2.0, log(), "order"),
        (MINUTES, log(noise=1.0), "jumps"),
        (MINUTES, log()[::-1], "rising"),
    ],
)
def test_a_log_that_carries_no_forecast_is_refused(minutes, mbar, word):
    with pytest.raises(ValueError, match=f"^{word}: needed "):
        weigh(minutes, mbar, True)


def test_a_rise_is_its_straight_line_with_its_sigma():
    seconds = np.arange(0.0, 121.0, 10.0)
    found = rise(seconds, 1e-6 + 2e-8 * seconds + 1e-8 * NOISE.standard_normal(seconds.size))
    assert abs(found.mbar_per_s - 2e-8) < 4 * found.sigma
    assert 0 < found.sigma < 1e-9


def test_two_readings_give_a_rise_without_a_sigma():
    assert rise([0, 60], [1e-6, 4e-6]) == pytest.approx((5e-8, 0.0))


def test_a_perfectly_straight_rise_is_known_no_better_than_its_last_digit():
    found = rise([0, 60, 120], [1.0e-6, 4.0e-6, 7.1e-6])
    straight = rise([0, 60, 120], [1.0e-6, 4.1e-6, 7.2e-6])
    least = 1e-7 / 12**0.5 / (2 * 60**2) ** 0.5
    assert straight.sigma == pytest.approx(least) and found.sigma >= least * (1 - 1e-9)


def test_one_reading_is_no_rise():
    with pytest.raises(ValueError, match="two readings at two times, found 1"):
        rise([0], [1e-6])
