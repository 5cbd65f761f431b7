"""The count of different things as a fact."""

from __future__ import annotations

import numpy as np
from invented import curve, spectrum

from edgeshift.questions.mixtures import variety
from edgeshift.records.scan import Place


def spots(heights: list[float]) -> list:
    rng = np.random.default_rng(2)
    return [
        spectrum(f"s{n}", curve(high) + 0.01 * rng.standard_normal(249), Place("A", str(n)))
        for n, high in enumerate(heights)
    ]


def test_spots_that_differ_in_one_line_are_two_things():
    (fact,) = variety(spots([0.5, 0.8, 1.1, 1.4, 1.7, 2.0]), 0.1)
    assert (fact.code, fact.value) == ("variety", 2.0)
    assert "at least" in fact.what
    assert len(fact.evidence) == 6


def test_equal_spots_are_one_thing_and_two_spots_are_too_few():
    assert variety(spots([1.0] * 6), 0.1)[0].value == 1.0
    assert variety(spots([1.0, 2.0]), 0.1) == ()


def test_a_gap_that_cannot_be_bridged_is_not_counted():
    some = spots([1.0, 1.5, 2.0])
    some[0].value[:] = np.nan
    assert variety(some, 0.1) == ()
