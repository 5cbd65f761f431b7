"""How many different things at least, and how weak that count is."""

from __future__ import annotations

import numpy as np
import pytest
from invented_iron import ENERGY, FERRIC, FERROUS, LIKE_FERRIC, iron

from edgeshift.numerics.variety import at_least


def mixed(kinds: tuple, seed: int, slide_ev: float = 0.02) -> np.ndarray:
    rng = np.random.default_rng(seed)
    shares = rng.dirichlet(np.ones(len(kinds)), size=10)
    rows = (1 + 0.03 * rng.normal(size=(10, 1))) * shares @ np.array([iron(kind) for kind in kinds])
    slides = slide_ev * rng.normal(size=10)
    slid = [np.interp(ENERGY - slide, ENERGY, row) for slide, row in zip(slides, rows, strict=True)]
    return np.array(slid) + 0.01 * rng.standard_normal(rows.shape)


def counted(kinds: tuple, distorted: float = 0.1, **more) -> list[int]:
    noise = np.full((10, ENERGY.size), 0.01)
    return [at_least(ENERGY, mixed(kinds, seed, **more), noise, distorted) for seed in range(40)]


def test_scans_of_one_thing_that_differ_in_scale_and_slide_are_one():
    assert set(counted((FERROUS,))) == {1}


def test_two_things_are_two():
    assert set(counted((FERROUS, FERRIC))) == {2}


def test_a_third_that_is_like_the_second_is_missed_aloud_only_as_at_least():
    """The known weakness: three things may be counted as two, never as more than three."""
    found = counted((FERROUS, FERRIC, LIKE_FERRIC))
    assert set(found) <= {2, 3} and 2 in found


def test_noise_alone_is_taken_for_a_thing_in_one_case_of_twenty():
    found = counted((FERROUS,), distorted=0.0, slide_ev=0.0)
    assert np.mean([each > 1 for each in found]) <= 0.15


def test_two_curves_are_too_few():
    with pytest.raises(ValueError, match="needs 3 curves, found 2"):
        at_least(ENERGY, np.ones((2, ENERGY.size)), np.ones((2, ENERGY.size)), 0.1)
