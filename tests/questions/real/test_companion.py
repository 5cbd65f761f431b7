"""The companion that assumes nothing is exact, and honest about what it is of."""

from __future__ import annotations

import pytest
from invented import EDGE, curve, edge_set, experiment

from edgeshift.questions.real import answers
from edgeshift.recipe.experiment import Feature
from edgeshift.records.comparison import Comparison
from edgeshift.records.scan import Place

FEATURE = Feature(kind="height", windows=((1567.9, 1568.1),), words="height of the line")
HEIGHTS = {"RA": 1.0, "RB": 1.03, "RC": 0.98, "FA": 1.5, "FB": 1.56, "FC": 1.49}
PAIRS = {"raw": [("RA", "A"), ("RB", "B"), ("RC", "C")], "fired": [("FA", "A"), ("FB", "B"), ("FC", "C")]}
FREE = {arm: [(unit, None) for unit, _ in listed] for arm, listed in PAIRS.items()}


def asked(units: dict, declared: str = "before", feature: Feature | None = FEATURE, **heights: float):
    """One noiseless scan of each unit, its line as high as said."""
    every = HEIGHTS | heights
    made = [(Place(u, "1", u, arm), [curve(every[u])]) for arm, listed in units.items() for u, _ in listed]
    compared = Comparison(EDGE, feature, declared=declared)
    return answers({EDGE: edge_set(made)}, experiment(units), {EDGE: compared})[0]


def told(found) -> list[str]:
    return [fact.what for fact in found.because if fact.code == "exact-companion"]


def test_three_units_an_arm_fully_apart_give_one_in_ten_and_no_less_is_possible():
    found = asked(FREE)
    assert found.detail["exact"] == {
        "p": pytest.approx(0.1),
        "smallest": pytest.approx(0.1),
        "of": "height of the line",
    }
    assert told(found) == [
        "at least 2 of 20 ways to reshuffle the units must reach as far (the declared feature); 2 do"
    ]


def test_three_pairs_that_moved_the_same_way_give_one_in_four():
    found = asked(PAIRS)
    assert (found.detail["exact"]["p"], found.detail["exact"]["smallest"]) == (0.25, 0.25)
    assert told(found)[0].startswith("at least 2 of 8 ways to swap inside pairs must reach as far")


def test_units_that_overlap_give_more_than_the_smallest():
    found = asked(FREE, FA=1.01)
    assert found.detail["exact"]["p"] > found.detail["exact"]["smallest"]


@pytest.mark.parametrize("feature", [None, FEATURE])
@pytest.mark.parametrize(("units", "p"), [(FREE, 0.1), (PAIRS, 0.25)])
def test_a_curve_is_compared_by_its_largest_difference_anywhere(units, p, feature):
    found = asked(units, "after", feature)
    assert found.detail["exact"] == {"p": p, "smallest": p, "of": "the largest difference anywhere"}
    assert "(the largest difference anywhere); 2 do" in told(found)[0]


def test_one_unit_in_an_arm_has_no_companion():
    found = asked({"raw": FREE["raw"][:1], "fired": FREE["fired"][:1]})
    assert found.detail["exact"] is None
    assert told(found) == []


def test_too_many_ways_are_not_counted_out(monkeypatch):
    monkeypatch.setattr("edgeshift.questions.real.companion.MOST_LABELLINGS", 19)
    assert asked(FREE).detail["exact"] is None
    assert asked(PAIRS).detail["exact"] is not None
    monkeypatch.setattr("edgeshift.questions.real.companion.MOST_LABELLINGS_ANYWHERE", 7)
    assert asked(PAIRS, "after").detail["exact"] is None
