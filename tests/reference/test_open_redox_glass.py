"""One soda glass at several redox states, Fe K, from raw files to the answer.

Data: Le Losq, Moretti, Medard, Berthod, Schiavi, Trcera, Lebas 2025, supporting data, CC BY 4.0. Fe3+/total
Fe by the authors: PyNa1200 0.95, PyNa1300 0.95, PyNa1600 0.75, PyNa17R 0.09. Bounds on differences: measured
on these files by a plain script.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from open_scans import RECIPE, scan

from edgeshift.actions.ask import ask
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.new import new
from edgeshift.actions.take import take
from edgeshift.numerics.mixtures import non_negative
from edgeshift.questions.mixtures import Reference, answer
from edgeshift.records.scan import Place
from edgeshift.reduction.pipeline import flagged, reduce_edge

OXIDISED, REDUCED = 0.95, 0.09
TEXT = """\
question: Does the redox state show at the Fe K edge?
arms: [{{name: {0}, control: true}}, {{name: {1}}}]
units: [{{name: {0}, arm: {0}}}, {{name: {1}, arm: {1}}}]
specimens: [{{name: {0}, unit: {0}}}, {{name: {1}, unit: {1}}}]
edges: [{{edge: Fe K}}]
beamline:
  energy: {{column: Energy}}
  channels:
    - {{role: i0, columns: [Io]}}
    - {{role: fluorescence, columns: [FY], dead_time_columns: [DeadTime]}}
  signal: fluorescence
  dwell_s: 1.0
  place: {{file_name: '(?P<specimen>PyNa\\w+?)_(?P<spot>pt\\d)_'}}
"""


@pytest.fixture(scope="module")
def answered(open_data, tmp_path_factory):
    """Two glasses, one unit each, taken into an experiment folder and asked about."""

    def make(control: str, treated: str):
        desk, place = steady_desk(), tmp_path_factory.mktemp(treated) / "shift"
        files = [
            path
            for path in sorted((open_data / "redox_glass_raw").glob("*.dat"))
            if path.name.startswith((f"{control}_", f"{treated}_"))
        ]
        with new(place, TEXT.format(control, treated), desk) as folder:
            took = take(folder, [(path.name, path.read_bytes()) for path in files], desk)
        assert {each.outcome for each in took} == {"taken"}
        return ask(place, "real", "Fe K", desk=desk)[0]

    return {treated: make("PyNa1200", treated) for treated in ("PyNa17R", "PyNa1300")}


def told(answer, code: str) -> list:
    return [fact for fact in answer.because if fact.code == code]


@pytest.mark.parametrize("treated", ["PyNa17R", "PyNa1300"])
def test_two_specimens_light_the_spots_and_leave_the_units_untested(answered, treated):
    found = answered[treated]
    assert (found.verdict, found.sentence) == ("spots", "These two differ. One unit each cannot tell us why.")
    assert found.detail["rungs"]["spots"] == "lit"
    assert found.detail["rungs"]["units"] == "cannot-test"
    assert found.detail["rung_words"]["units"].startswith("one unit in an arm")
    assert found.detail["chance"] is None, "one unit in each arm has no treatment test and no p"


def test_the_extremes_differ_most_on_the_rise_by_half_a_step(answered):
    (height,) = told(answered["PyNa17R"], "largest-difference")
    (energy,) = told(answered["PyNa17R"], "largest-difference-energy")
    assert 0.42 <= abs(height.value) <= 0.52
    assert 7120 <= energy.value <= 7122
    assert height.unit == "edge steps"


def test_two_glasses_of_one_stated_ratio_differ_a_little_beyond_their_spots(answered):
    (height,) = told(answered["PyNa1300"], "largest-difference")
    (rise,) = told(answered["PyNa1300"], "half-step")
    assert abs(height.value) <= 0.03
    assert 0.08 <= abs(rise.value) <= 0.14
    assert 0.02 < rise.uncertainty < 0.12, (
        "three spots each: a 95 % give-or-take is about as wide as the shift"
    )


def test_the_small_difference_stands_beside_both_dead_times_and_no_cause_is_named(answered):
    found = answered["PyNa1300"]
    assert [round(fact.value) for fact in told(found, "dead-time")] == [42, 37]
    words = " ".join(
        (found.sentence, *(f.what for f in found.because), *found.cautions, *found.would_change_it)
    )
    assert not re.search(r"\b(due to|caused?|chemistry|oxid|saturat|explain)", words)


# --- PyNa1600 as a mixture of PyNa1200 and PyNa17R ---------------------------------------------------


@pytest.fixture(scope="module")
def glasses(open_data):
    """Flagged scans of every glass, by name."""
    places = {
        path: Place(*re.match(r"(PyNa\w+?)_(pt\d)", path.name).groups())
        for path in sorted((open_data / "redox_glass_raw").glob("*.dat"))
    }
    every = flagged([scan(path, "Fe K", place) for path, place in places.items()], RECIPE)
    found: dict[str, tuple] = {}
    for each in every:
        name = each.scan.place.specimen
        found[name] = (*found.get(name, ()), each)
    return found


def mixed(glasses, ends=("PyNa1200", "PyNa17R"), recipe=RECIPE):
    return answer("Fe K", "PyNa1600", glasses["PyNa1600"], [Reference(n, glasses[n]) for n in ends], recipe)


def ferric(oxidised: float) -> float:
    """Fe3+ over total Fe for a share of the oxidised end member; their own ratios are the authors'."""
    return oxidised * OXIDISED + (1 - oxidised) * REDUCED


def test_the_middle_glass_is_three_quarters_of_the_way_between_its_end_members(glasses):
    """By a plain script: share of PyNa1200 0.728, Fe3+/total 0.716; accepted 0.72 +- 0.04."""
    window = RECIPE.model_validate({**RECIPE.model_dump(), "shares": {"window_ev": (7108, 7165)}})
    found = mixed(glasses, recipe=window)
    share = found.detail["shares"]["PyNa1200"]
    assert share["formal"]["value"] == pytest.approx(0.728, abs=0.02)
    assert ferric(share["formal"]["value"]) == pytest.approx(0.72, abs=0.04)
    assert found.detail["sum"]["value"] == pytest.approx(1, abs=0.03), (
        "a missing reference would leave it off one"
    )


def test_the_fan_of_equally_good_mixtures_holds_the_authors_ratio(glasses):
    """Over windows, baselines, stretches above, slides and heights of either reference."""
    found = mixed(glasses)
    share = found.detail["shares"]["PyNa1200"]
    assert found.verdict == "answered"
    assert ferric(share["value"]) == pytest.approx(0.72, abs=0.04)
    assert ferric(share["low"]) < 0.75 < ferric(share["high"])
    assert ferric(share["high"]) - ferric(share["low"]) < 0.2, "a fan so wide would hold anything"
    assert share["formal"]["half"] < 0.01, "what a plain fit would claim"
    assert ferric(share["formal"]["value"] + share["formal"]["half"]) < 0.75


def test_two_end_members_that_are_nearly_one_leave_equal_sets(glasses):
    """PyNa1200 and PyNa1300 have one stated ratio: neither is chosen over the other by luck."""
    found = mixed(glasses, ("PyNa1200", "PyNa1300", "PyNa17R"))
    assert found.verdict == "partly"
    assert len(found.detail["sets"]) > 1
    assert found.detail["shares"]["PyNa1200"]["low"] == 0
    reduced = found.detail["shares"]["PyNa17R"]
    assert reduced["low"] < 1 - 0.728 < reduced["high"], "of the reduced one there is as much as before"


def test_a_tenth_of_an_electron_volt_moves_the_ratio_by_two_hundredths(glasses):
    """-0.017 for a +0.1 eV slide, by a plain script."""
    energy = np.arange(7108.0, 7165.0, 0.25)
    curves = {}
    for name in ("PyNa1600", "PyNa1200", "PyNa17R"):
        spots = reduce_edge("Fe K", sum(glasses.values(), ()), RECIPE, frozenset()).spots
        mine = [spot for spot in spots if spot.place.specimen == name]
        curves[name] = lambda at, mine=mine: np.mean(
            [np.interp(at, s.energy_ev, s.value) for s in mine], axis=0
        )
    still, moved = (
        non_negative(
            curves["PyNa1600"](energy), np.array([curves[n](energy + s) for n in ("PyNa1200", "PyNa17R")])
        ).parts[0]
        for s in (0.0, -0.1)
    )
    assert ferric(moved) - ferric(still) == pytest.approx(-0.017, abs=0.003)
