"""What the numbers of one column say for themselves."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.formats import column_facts

RANDOM = np.random.default_rng(11)
EDGE = 1 / (1 + np.exp(-np.linspace(-8, 12, 200)))


@pytest.mark.parametrize("noise", [0.02, 0.05, 0.1])
def test_an_edge_above_its_noise_is_no_mere_noise(noise: float) -> None:
    assert not column_facts.only_noise(EDGE + noise * RANDOM.normal(size=200))


def test_a_sharp_line_on_a_flat_column_is_no_mere_noise() -> None:
    line = np.exp(-(((np.arange(60) - 30) / 1.2) ** 2))
    assert not column_facts.only_noise(1 + line + 0.02 * RANDOM.normal(size=60))


def test_noise_alone_has_a_clearness_near_one_and_nearly_never_looks_like_structure() -> None:
    clear = np.array([column_facts.clearness(RANDOM.normal(size=200)) for _ in range(300)])
    assert np.median(clear) == pytest.approx(1.0, abs=0.05)
    assert np.mean(clear >= column_facts.NOISE_RATIO) < 0.01


def test_clearness_does_not_depend_on_scale_and_survives_huge_numbers() -> None:
    column = EDGE + 0.05 * RANDOM.normal(size=200)
    assert column_facts.clearness(1e99 * column) == pytest.approx(column_facts.clearness(column))


@pytest.mark.parametrize(
    ("values", "why"),
    [
        (np.full(30, np.nan), "holds no numbers"),
        (np.zeros(30), "holds only zeros"),
        (np.full(30, 2.5), "never changes"),
        (np.array([75.0, 77, 75, 76, 77, 75, 76]), "holds only 3 different values"),
        (np.array([6803.0, 9539, 17498, 17665, 18374, 16290, 18875]), None),
        (np.repeat([0.0, 4.0, 9.0], 40), None),
    ],
)
def test_a_dead_column_says_why(values: np.ndarray, why: str | None) -> None:
    assert column_facts.why_dead(values) == why


def test_an_axis_rises_or_falls_and_does_not_stand_still() -> None:
    rising = np.linspace(700, 720, 50)
    assert column_facts.is_axis(rising)
    assert column_facts.is_axis(rising[::-1])
    assert column_facts.is_axis(rising + 0.05 * RANDOM.normal(size=50))
    assert not column_facts.is_axis(np.full(50, 700.0))
    assert not column_facts.is_axis(np.r_[rising, rising[::-1]])
    assert not column_facts.is_axis(rising[:4])


@pytest.mark.parametrize(
    ("energy", "words"),
    [
        (np.r_[0:50, 48:-1:-1] + 700.0, "turn round at 749.00 eV"),
        (np.r_[50:0:-1, 2:51] + 700.0, "turn round at 701.00 eV"),
        (np.r_[0:50, 48:-1:-1, 1:50] + 700.0, "turn round more than once"),
        (np.arange(50.0), ""),
    ],
)
def test_an_axis_out_and_back_says_where_it_turns(energy, words):
    assert column_facts.turning(energy) == words
