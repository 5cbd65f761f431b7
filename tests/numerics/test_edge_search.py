"""Steps, pairs and bumps are found where they are, and told from what only looks like them."""

from __future__ import annotations

import numpy as np
import pytest
from invented_scans import line, step

from edgeshift.numerics.edge_search import Sought, plain_step, search, search_bump
from edgeshift.numerics.noise import neighbours_alike

AT = np.arange(0.0, 60.0, 0.25)
NONE = np.empty((0, AT.size))
PAIR = Sought(np.arange(15.0, 30.0, 0.25), (12.0, 13.0, 14.0), (1.2, 2.4))
STEP = Sought(np.arange(15.0, 30.0, 0.5), (), (1.2, 3.0, 6.0))


def curve(extra: np.ndarray, seed: int = 1, noise: float = 0.004) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return 1.0 - 0.004 * AT + extra + noise * rng.standard_normal(AT.size)


def test_a_pair_is_found_with_its_place_its_distance_and_its_heights():
    found = search(AT, curve(line(AT, 22.0, 0.2) + line(AT, 35.0, 0.1)), NONE, PAIR)
    assert (found.at_ev, found.split_ev) == (22.0, 13.0)
    assert found.amounts == pytest.approx((0.2, 0.1), abs=0.02)
    assert found.strength > 10 and found.valley > 10


def test_noise_alone_is_weak_and_its_error_is_told():
    strengths = [search(AT, curve(0 * AT, seed), NONE, PAIR).strength for seed in range(20)]
    assert max(strengths) < 4.75
    assert search(AT, curve(0 * AT), NONE, PAIR).null_alone == pytest.approx(0.0024, rel=0.5)


def test_a_broad_hump_has_no_valley():
    assert search(AT, curve(line(AT, 28.0, 0.2, 22.0)), NONE, PAIR).valley < 2.5


def test_marks_take_what_is_theirs():
    mark = line(AT, 22.0, 1.0) + line(AT, 35.0, 0.5)
    value = curve(0.2 * mark)
    assert search(AT, value, NONE, PAIR).strength > 10
    assert search(AT, value, mark[None], PAIR).strength < 4.75


def test_a_step_is_told_apart_from_its_white_line():
    value = curve(step(AT, 22.0, 0.2) + line(AT, 23.5, 0.3, 2.5))
    assert search(AT, value, NONE, STEP).strength > 10
    height = plain_step(AT, value, NONE, 22.0, 10.0)
    assert height.amount == pytest.approx(0.2, abs=0.02)
    only_line = plain_step(AT, curve(line(AT, 23.5, 0.3, 2.5)), NONE, 22.0, 10.0)
    assert only_line.amount == pytest.approx(0.0, abs=0.02)


def test_too_few_points_on_a_side_give_no_step():
    assert plain_step(AT, curve(0 * AT), NONE, 0.5, 5.0) is None


def test_a_single_bump_is_found():
    bump = search_bump(AT, curve(line(AT, 22.0, 0.1, 3.0)), NONE, np.arange(15.0, 30.0, 0.5), (1.5, 3.0))
    assert (bump.at_ev, bump.width_ev) == (22.0, 3.0)
    assert bump.strength > 5


def test_neighbours_that_are_alike_widen_every_error():
    rng = np.random.default_rng(2)
    white = rng.standard_normal(600)
    assert neighbours_alike(white) < 1.15
    assert neighbours_alike(np.convolve(white, np.ones(5) / 5, "valid")) > 1.8
    plain, wide = (search(AT, curve(step(AT, 22.0, 0.05)), NONE, STEP, alike) for alike in (1.0, 2.0))
    assert wide.sigmas[0] > 1.9 * plain.sigmas[0] and wide.strength < plain.strength
