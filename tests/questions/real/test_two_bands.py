"""Which of two bands leave zero, and where."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import EDGE, ENERGY, curve, edge_set, experiment

from edgeshift.questions.real.asking import Asked, ask_edge
from edgeshift.questions.real.two_bands import bands, beyond, lit_by, passed, rung_shown
from edgeshift.questions.real.verdict import CurveEvidence, untestable
from edgeshift.records.comparison import Comparison
from edgeshift.records.once import Once
from edgeshift.records.scan import Place

UNITS = {"raw": [(f"R{n}", None) for n in range(4)], "fired": [(f"F{n}", None) for n in range(4)]}
TWO_BUMPS = sum(np.exp(-(((ENERGY - at) / 1.5) ** 2)) for at in (1580, 1600))


@pytest.fixture(scope="module")
def asked() -> Asked:
    """Four units an arm; two bumps on the fired ones."""
    rng = np.random.default_rng(6)
    made = [
        (
            Place(unit, "1", unit, arm),
            [curve(1.0) + 0.01 * rng.standard_normal(249) + 0.2 * (arm == "fired") * TWO_BUMPS],
        )
        for arm, listed in UNITS.items()
        for unit, _ in listed
    ]
    (one,) = ask_edge(edge_set(made), experiment(UNITS), Comparison(EDGE), None, Once(None))
    return one


def test_the_highest_testable_rung_is_shown(asked):
    assert rung_shown(asked) == "units"


def test_a_band_that_leaves_zero_does_so_in_stretches_about_each_place(asked):
    found = beyond(asked, "units", 0.05)
    for name in ("full", "shape"):
        middles = [np.mean(stretch) for stretch in found[name]["stretches"]]
        for at in (1580, 1600):
            assert any(abs(middle - at) < 2 for middle in middles)
    assert min(abs(found["full"]["farthest_ev"] - at) for at in (1580, 1600)) < 2


def test_stretches_end_where_the_band_reaches_zero_again(asked):
    band = asked.ladder.curves["units"].band(0.05)
    out = np.abs(band.difference) > band.half_width
    stretches = beyond(asked, "units", 0.05)["full"]["stretches"]
    inside = sum((first <= ENERGY) & (last >= ENERGY) for first, last in stretches)
    assert np.array_equal(inside, out.astype(int))


def test_at_a_level_that_nothing_reaches_no_band_leaves_zero(asked):
    assert passed(asked.ladder.curves["units"], 0.05) == ["full", "shape"]
    assert passed(asked.ladder.curves["units"], 1e-200) == []
    assert beyond(asked, "units", 1e-200) == {}


def test_between_its_looks_nobody_looks_where_the_units_leave_zero(asked):
    waiting = replace(asked, judged=replace(asked.judged, frozen="frozen since the look at two units"))
    assert beyond(waiting, "units", 0.05) == {}
    assert beyond(waiting, "spots", 0.05) == {} and not asked.testable("spots")


def test_no_test_has_no_bands():
    assert bands(CurveEvidence(untestable("one pair: no test")), 0.05) == {}


def test_only_lit_rungs_say_what_lit_them(asked):
    states = {"scans": "not-shown", "spots": "cannot-test", "units": "lit"}
    levels = dict.fromkeys(states, 0.05)
    assert lit_by(asked, states, levels) == {"units": ["full", "shape"]}
