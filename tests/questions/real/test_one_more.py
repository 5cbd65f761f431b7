"""What one more scan, spot or unit would do, on invented curves whose scatter is known."""

from __future__ import annotations

import numpy as np
import pytest
from invented import EDGE, ENERGY, curve, edge_set, experiment

from edgeshift.questions.real import answers, one_more
from edgeshift.recipe.experiment import Feature
from edgeshift.records.comparison import Comparison
from edgeshift.records.scan import Place

HEIGHT = Feature(kind="height", windows=((1567.5, 1568.5),))
RATIO = Feature(kind="ratio", windows=((1567.5, 1568.5), (1580.0, 1600.0)))
EIGHT = {arm: [(f"{arm[0].upper()}{n}", None) for n in range(4)] for arm in ("raw", "fired")}
WAVES = np.sin(np.outer(np.arange(1, 7), np.linspace(0, 9, len(ENERGY))))


def shift(units=EIGHT, sd=(0.05, 0.02, 0.02), spots=2, scans=2, seed=1, size=0.0):
    """Departures of six waves for units, spots and scans; `size` scales whole curves of units besides."""
    rng = np.random.default_rng(seed)

    def moved(sd: float) -> np.ndarray:
        return sd * rng.standard_normal(len(WAVES)) @ WAVES

    made = []
    for arm, listed in units.items():
        for unit, _ in listed:
            own, gain = moved(sd[0]), 1 + size * rng.standard_normal()
            for spot in range(spots):
                here = gain * (curve(1.0) + own) + moved(sd[1])
                rows = [here + moved(sd[2]) for _ in range(scans)]
                made.append((Place(unit, str(spot + 1), unit, arm), rows))
    return edge_set(made)


def ask(found, feature=None, units=EIGHT, declared="before"):
    answer, _ = answers(
        {EDGE: found}, experiment(units), {EDGE: Comparison(EDGE, feature, declared=declared)}
    )
    return answer


def weighed(answer) -> dict:
    return {each["act"]: each for each in answer.detail["one_more"]}


def test_one_more_unit_narrows_by_the_root_of_n_over_n_plus_one_whatever_the_shares():
    told = weighed(ask(shift()))["unit"]
    assert told["middle"] == pytest.approx((4 / 5) ** 0.5)
    assert told["low"] == pytest.approx(told["high"])


def test_one_more_pair_does_the_same_for_pairs():
    units = {"raw": [(f"R{n}", f"{n}") for n in range(3)], "fired": [(f"F{n}", f"{n}") for n in range(3)]}
    answer = ask(shift(units), HEIGHT, units)
    assert weighed(answer)["unit"]["middle"] == pytest.approx((3 / 4) ** 0.5)
    assert any(f.what.startswith("one more pair would narrow") for f in answer.because)


def test_where_scans_are_nearly_all_the_scatter_a_scan_narrows_far_more_than_where_units_are():
    of_scans = weighed(ask(shift(sd=(0.005, 0.005, 0.1))))["scan"]
    of_units = weighed(ask(shift(sd=(0.1, 0.005, 0.005))))["scan"]
    assert of_units["low"] > 0.97
    assert of_scans["low"] < 0.9 < of_units["low"]
    assert of_scans["high"] < of_units["low"]


def test_the_middle_is_near_the_truth():
    """Units 0.05, spots and scans 0.02: variance 25 + 4/2 + 4/4 now, 25 + 4/3 + 4/6 with a spot more."""
    told = weighed(ask(shift()))["spot"]
    assert told["reason"] == ""
    assert told["middle"] == pytest.approx((27 / 28) ** 0.5, abs=0.03)


def test_one_spot_everywhere_cannot_tell_what_a_second_would_do():
    answer = ask(shift(spots=1))
    assert weighed(answer)["spot"]["reason"] == "one-spot"
    assert weighed(answer)["spot"]["middle"] is None
    (fact,) = [f for f in answer.because if f.code == "one-more-spot"]
    assert fact.what == "cannot tell what one more spot on every unit would do: one spot per unit everywhere"


def test_one_scan_everywhere_cannot_tell_what_a_second_would_do():
    assert weighed(ask(shift(sd=(0.02, 0.05, 0.05), scans=1)))["scan"]["reason"] == "one-scan"


def test_one_unit_in_an_arm_has_no_scatter_to_narrow():
    units = {"raw": EIGHT["raw"], "fired": EIGHT["fired"][:1]}
    told = weighed(ask(shift(units), units=units))
    assert {each["reason"] for each in told.values()} == {"one-unit"}
    assert all(each["low"] is None for each in told.values())


def test_three_pairs_show_a_range_and_no_number():
    units = {"raw": [(f"R{n}", f"{n}") for n in range(3)], "fired": [(f"F{n}", f"{n}") for n in range(3)]}
    told = weighed(ask(shift(units, sd=(0.05, 0.05, 0.05)), units=units))["spot"]
    assert told["reason"] == "few-units"
    assert told["low"] < told["high"] < 1


def test_a_declared_ratio_is_told_by_its_own_scatter_not_the_curves():
    """Units of very different height: whole curves scatter by units, and their ratio only by scans."""
    found = shift(sd=(0.002, 0.002, 0.06), size=0.3)
    by_ratio, by_curve = (weighed(ask(found, RATIO, declared=d))["scan"] for d in ("before", "after"))
    assert by_curve["low"] > 0.95
    assert by_ratio["low"] < 0.9


def test_identical_repeats_say_so_and_never_raise():
    told = weighed(ask(shift(sd=(0.0, 0.0, 0.0))))
    assert {each["reason"] for each in told.values()} == {"identical"}


def test_specimens_with_unequal_numbers_of_spots_tell_only_of_units():
    rng, made = np.random.default_rng(2), []
    for arm, listed in EIGHT.items():
        for unit, _ in listed:
            for specimen, spot in (("a", "1"), ("a", "2"), ("b", "1")):
                rows = [curve(1.0) + 0.02 * rng.standard_normal(len(ENERGY)) for _ in range(2)]
                made.append((Place(f"{unit}{specimen}", spot, unit, arm), rows))
    told = weighed(ask(edge_set(made)))
    assert [told[act]["reason"] for act in ("scan", "spot", "unit")] == ["uneven", "uneven", ""]


def test_a_feature_that_some_scan_does_not_reach_is_said():
    found = shift()
    some = next(iter(found.scans.values()))
    some.value[:] = -1.0  # no mean above nothing to divide by
    told = weighed(ask(found, RATIO))
    assert {told["scan"]["reason"], told["spot"]["reason"]} == {"unreadable"}


def test_taking_fewer_energies_hardly_moves_an_answer(monkeypatch):
    assert len(ENERGY) > 2 * one_more.MOST_ENERGIES
    thinned = weighed(ask(shift()))["scan"]
    monkeypatch.setattr(one_more, "MOST_ENERGIES", len(ENERGY))
    whole = weighed(ask(shift()))["scan"]
    assert [thinned[key] for key in ("low", "middle", "high")] == pytest.approx(
        [whole[key] for key in ("low", "middle", "high")], abs=0.01
    )


def test_every_answer_says_what_each_act_would_do():
    codes = [fact.code for fact in ask(shift(), HEIGHT).because]
    assert [code for code in codes if code.startswith("one-more")] == [
        f"one-more-{act}" for act in one_more.ACTS
    ]


def test_what_would_change_it_no_longer_denies_scans_unseen():
    answer = ask(shift(seed=4), HEIGHT)
    assert answer.detail["rungs"]["units"] == "not-shown"
    assert not any("would not do it" in act for act in answer.would_change_it)
    assert any("would narrow the give-or-take" in act for act in answer.would_change_it)


def test_the_same_comparison_is_weighed_once(monkeypatch):
    calls = []
    real_fit = one_more.fit
    monkeypatch.setattr(one_more, "fit", lambda *given: calls.append(1) or real_fit(*given))
    found, text, comparison, memory = shift(), experiment(EIGHT), Comparison(EDGE), {}
    for _ in range(3):
        answers({EDGE: found}, text, {EDGE: comparison}, memory)
    assert len(calls) == 1
