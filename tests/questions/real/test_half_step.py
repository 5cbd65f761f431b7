"""The rise through half a step counts units, not spots."""

from __future__ import annotations

import numpy as np
import pytest
from invented import EDGE, curve, edge_set, experiment
from scipy.special import stdtrit

from edgeshift.questions.real import answers
from edgeshift.records.comparison import Comparison
from edgeshift.records.scan import Place

FREE = {"raw": [("RA", None), ("RB", None)], "fired": [("FA", None), ("FB", None)]}
PAIRS = {"raw": [("RA", "A"), ("RB", "B")], "fired": [("FA", "A"), ("FB", "B")]}
SLIDES = {"RA": -0.2, "RB": 0.2, "FA": 0.0, "FB": 0.42}


def told(units: dict, slides: dict[str, float] = SLIDES, spots: int = 2):
    """The fact, for units whose spots lie 0.01 eV about their slide."""
    about = np.linspace(-0.01, 0.01, spots) if spots > 1 else [0.0]
    made = [
        (Place(unit, str(n), unit, arm), [curve(0.0, slides[unit] + apart)])
        for arm, listed in units.items()
        for unit, _ in listed
        for n, apart in enumerate(about)
    ]
    found = answers({EDGE: edge_set(made)}, experiment(units), {EDGE: Comparison(EDGE)})[0]
    (fact,) = (f for f in found.because if f.code == "half-step")
    return fact


def test_the_give_or_take_is_that_of_units_however_many_spots_they_have():
    few, many = told(FREE, spots=2), told(FREE, spots=9)
    assert few.value == pytest.approx(0.21, abs=0.005)
    by_hand = stdtrit(2, 0.975) * np.sqrt((np.var([-0.2, 0.2], ddof=1) + np.var([0, 0.42], ddof=1)) / 2)
    assert few.uncertainty == pytest.approx(by_hand, rel=0.02)
    assert many.uncertainty == pytest.approx(few.uncertainty, rel=0.01)
    assert few.what.endswith("judged against other units")


def test_pairs_are_read_pair_by_pair():
    by_hand = stdtrit(1, 0.975) * np.std([0.2, 0.22], ddof=1) / np.sqrt(2)
    assert told(PAIRS).uncertainty == pytest.approx(by_hand, rel=0.1)


def test_one_unit_in_an_arm_is_judged_against_other_spots_and_says_so():
    one = {arm: listed[:1] for arm, listed in FREE.items()}
    found = told(one)
    by_hand = stdtrit(2, 0.975) * np.sqrt(2 * 2 * 0.01**2 / 2)
    assert found.uncertainty == pytest.approx(by_hand, rel=0.05)
    assert found.what.endswith("judged against other spots")


def test_nothing_repeated_has_no_give_or_take():
    found = told({arm: listed[:1] for arm, listed in FREE.items()}, spots=1)
    assert found.uncertainty is None
    assert found.what == "energy at half a step, {arm:fired} minus {arm:raw}"
