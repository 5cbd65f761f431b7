"""Readings to rates: offset, gain, sign, dwell, and dead time undone exactly once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import passed, scan

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE
from edgeshift.records.scan import Channel
from edgeshift.reduction.steps import rates

POINTS = 40


def run(*channels: Channel, dwell_s: float = 1.0):
    """The pass after the step, its signal the first channel."""
    made = scan(signal=np.ones(POINTS), channels={c.role: c for c in channels})
    made = replace(made, dwell_s=np.full(POINTS, dwell_s))
    return rates.run((passed(made),), Recipe())[0]


def counter(counts: float, **more) -> Channel:
    raw = np.full((1, POINTS), counts) + np.arange(POINTS) * 1e-6
    return Channel("fluorescence", raw, "counts", ("fy",), **more)


def test_a_dead_time_is_undone_once():
    """151.5 kcps measured at 1.6 µs is 200 kcps: the non-paralysable formula by hand."""
    found = run(counter(151515.15, dead_time_s=1.6e-6))
    assert found.rates["fluorescence"][0] == pytest.approx(200_000, rel=1e-4)


def test_a_reported_dead_share_is_undone_once():
    shares = np.full((1, POINTS), 0.42)
    found = run(counter(5800, dead_fraction=shares))
    assert found.rates["fluorescence"][0] == pytest.approx(10_000, rel=1e-6)


def test_a_corrected_column_owes_nothing_and_keeps_the_noise_of_what_was_counted():
    shares = np.full((1, POINTS), 0.42)
    found = run(counter(10_000, dead_fraction=shares, corrected=True))
    assert found.rates["fluorescence"][0] == pytest.approx(10_000, rel=1e-6)
    raw = run(counter(5800, dead_fraction=shares))
    assert found.rate_sigma["fluorescence"][0] == pytest.approx(raw.rate_sigma["fluorescence"][0], rel=1e-6)


def test_dwell_turns_counts_into_a_rate_and_thins_its_noise():
    one, four = run(counter(1000)), run(counter(4000), dwell_s=4.0)
    assert four.rates["fluorescence"][0] == pytest.approx(one.rates["fluorescence"][0], rel=1e-6)
    assert four.rate_sigma["fluorescence"][0] == pytest.approx(
        one.rate_sigma["fluorescence"][0] / 2, rel=1e-3
    )


def test_elements_are_corrected_one_by_one_and_then_summed():
    raw = np.vstack([np.full(POINTS, 1e5), np.full(POINTS, 2e5)]) + np.arange(POINTS) * 1e-6
    two = Channel("fluorescence", raw, "counts", ("a", "b"), dead_time_s=1e-6)
    assert run(two).rates["fluorescence"][0] == pytest.approx(1e5 / 0.9 + 2e5 / 0.8, rel=1e-6)


def test_a_dead_element_is_dropped_aloud():
    raw = np.vstack([np.full(POINTS, 1e5) + np.arange(POINTS), np.zeros(POINTS)])
    found = run(Channel("fluorescence", raw, "counts", ("good", "broken")))
    assert found.rates["fluorescence"][0] == pytest.approx(1e5)
    assert found.doubts == ("The element broken never changed, so it was left out of the sum.",)


def test_a_negative_drain_current_is_a_signal():
    raw = -np.linspace(1, 2, POINTS)[None, :] + 0.5
    drain = Channel("electron-yield", raw, "A", ("drain",), offset=0.5, gain=2.0, sign=-1)
    np.testing.assert_allclose(run(drain).rates["electron-yield"], 2 * np.linspace(1, 2, POINTS))


def test_only_counters_have_counting_noise():
    volts = Channel("electron-yield", np.linspace(1, 2, POINTS)[None, :], "V", ("v",))
    assert np.isnan(run(volts).rate_sigma["electron-yield"]).all()


def test_a_busy_counter_is_flagged_point_by_point_and_not_left_out():
    shares = np.full((1, POINTS), 0.05)
    shares[0, 7] = 0.4
    found = run(counter(5800, dead_fraction=shares))
    assert np.flatnonzero(found.flags & BY_CODE["dead-time"].bit).tolist() == [7]


def test_counting_noise_agrees_with_draws():
    rng = np.random.default_rng(2)
    raw = rng.poisson(2500, (1, 4000)).astype(float)
    found = run_counts(raw)
    assert found.rates["fluorescence"].std() == pytest.approx(
        found.rate_sigma["fluorescence"].mean(), rel=0.05
    )


def run_counts(raw: np.ndarray):
    made = scan(
        signal=raw[0],
        energy_ev=np.arange(raw.shape[1], dtype=float),
        channels={"fluorescence": Channel("fluorescence", raw, "counts", ("fy",))},
    )
    return rates.run((passed(made),), Recipe())[0]


def many(readings: np.ndarray) -> float:
    """The median noise that the step gives to readings of a column called counts."""
    made = scan(energy_ev=1550.0 + np.arange(readings.size) / 4, signal=readings)
    channel = Channel("fluorescence", readings[None], "counts", ("fy",))
    made = replace(made, channels={"fluorescence": channel}, signal="fluorescence")
    return float(np.median(rates.run((passed(made),), Recipe())[0].rate_sigma["fluorescence"]))


def test_readings_steadier_than_counting_allows_are_given_their_own_scatter():
    rng = np.random.default_rng(5)
    found = many(40_000 + 50 * rng.standard_normal(200))
    assert found == pytest.approx(50, rel=0.25), "counting would give 200"


def test_true_counts_keep_their_statistics_also_on_a_line_and_by_bad_luck():
    rng = np.random.default_rng(6)
    line = 3000 + 20_000 * np.exp(-(((np.arange(200) - 90) / 6) ** 2))
    for size in (60, 200):
        for _ in range(100):
            assert many(rng.poisson(3000, size).astype(float)) == pytest.approx(3000**0.5, rel=0.05)
    assert many(rng.poisson(line).astype(float)) == pytest.approx(np.median(line) ** 0.5, rel=0.05)
