"""Shares as an answer: intervals, the sum, what is left, what would not show, and what is like nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented_iron import ENERGY, FERRIC, FERROUS, LIKE_FERRIC, iron

from edgeshift.errors import QuestionRefused
from edgeshift.figures import figure_of
from edgeshift.questions.mixtures import Reference, answer
from edgeshift.recipe.experiment import Holding
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.scan import Channel, Place, Scan
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.pipeline import flagged

RNG = np.random.default_rng(1)


def passes(name: str, value: np.ndarray, energy: np.ndarray = ENERGY) -> tuple[Pass, ...]:
    noisy = 0.2 + value + 0.005 * np.random.default_rng(len(name)).standard_normal(value.size)
    channel = Channel("absorption", noisy[None, :], "none", ("mu",))
    scan = Scan(f"scan of {name}", f"{name}.dat", name, "Fe L", energy, np.ones(energy.size),
                {"absorption": channel}, "absorption", place=Place(name))  # fmt: skip
    return flagged([scan], Recipe())


OXIDES = [
    Reference("ferrous", passes("ferrous", iron(FERROUS))),
    Reference("ferric", passes("ferric", iron(FERRIC))),
]
MIXED = passes("clay", 0.3 * iron(FERROUS) + 0.7 * iron(FERRIC))


@pytest.fixture(scope="module")
def found():
    return answer("Fe L", "clay", MIXED, OXIDES, Recipe())


def told(one, code: str) -> list:
    return [fact for fact in one.because if fact.code == code]


def test_the_shares_are_between_what_the_references_allow(found):
    assert found.verdict == "answered"
    ferrous = found.detail["shares"]["ferrous"]
    assert ferrous["low"] < 0.3 < ferrous["high"]
    assert 0.05 < ferrous["high"] - ferrous["low"] < 0.4
    assert found.marked.startswith("{specimen:clay} is between about **")
    assert "percent** {specimen:ferric}, depending on which references we trust." in found.marked


def test_the_formal_interval_stands_beside_it_and_is_far_narrower(found):
    for share in found.detail["shares"].values():
        assert share["formal"]["half"] < 0.2 * (share["high"] - share["low"])
    assert len(told(found, "formal-share")) == 2


def test_the_sum_is_reported_and_may_be_anything():
    thin = passes("thin", 0.3 * iron(FERROUS) + 0.7 * iron(FERRIC) + 0.4 * iron(LIKE_FERRIC))
    fixed = Recipe.model_validate({"scale": {"method": "none"}})
    one = answer("Fe L", "thin", thin, OXIDES, fixed)
    (total,) = told(one, "sum")
    assert total.value == pytest.approx(1.4, abs=0.1)
    assert any(caution.startswith("The shares add up to 1.") for caution in one.cautions)


def test_a_missing_reference_is_shown_as_the_smallest_one_left_out(found):
    missing = found.detail["missing"]
    assert missing["reference"] == "ferrous"
    assert missing["misfit_ratio"] > 5
    assert abs(missing["farthest_ev"] - 707.8) < 0.6, "where ferrous iron has its main line"
    assert len(missing["left"]) == len(found.detail["curves"]["energy_ev"])


def test_what_is_like_no_reference_has_no_share():
    strange = iron((716.0, ((716.0, 1.0, 3.0), (729.0, 1.5, 1.5))))
    one = answer("Fe L", "strange", passes("strange", 0.5 * iron(FERRIC) + 0.5 * strange), OXIDES, Recipe())
    assert one.verdict == "cannot-tell"
    assert "none of our references" in one.sentence
    assert one.detail["misfit"] > one.detail["explained_misfit"]


def test_two_references_that_are_alike_leave_two_sets_and_a_wide_interval(found):
    more = [*OXIDES, Reference("ferric again", passes("ferric again", iron(FERRIC)))]
    one = answer("Fe L", "clay", MIXED, more, Recipe())
    assert one.verdict == "partly"
    assert len(one.detail["sets"]) > 1
    (sets,) = told(one, "equal-sets")
    assert "{specimen:ferrous} + {specimen:ferric}" in sets.what
    assert one.detail["shares"]["ferric again"]["low"] == 0
    assert one.detail["shares"]["ferric"]["low"] < 0.1 < found.detail["shares"]["ferric"]["low"]


def test_a_share_too_small_to_show_has_a_limit_above_it():
    one = answer("Fe L", "ferric clay", passes("ferric clay", iron(FERRIC)), OXIDES, Recipe())
    ferrous = one.detail["shares"]["ferrous"]
    assert ferrous["low"] == 0
    assert 0.005 < ferrous["limit"] < 0.2
    assert ferrous["limit"] >= ferrous["high"]


def test_a_tie_of_its_own_says_how_far_a_reference_may_slide():
    tied = [OXIDES[0], Reference("ferric", OXIDES[1].passes, slide_ev=0.02, shelf=True)]
    one = answer("Fe L", "clay", MIXED, tied, Recipe())
    assert one.detail["shares"]["ferric"]["slide_ev"] == 0.02
    assert one.detail["shares"]["ferrous"]["slide_ev"] == Recipe().shares.slide_ev


def test_without_a_reference_nothing_can_be_told():
    one = answer("Fe L", "clay", MIXED, [], Recipe())
    assert (one.verdict, one.detail["shares"]) == ("cannot-tell", {})


def test_one_reference_is_always_all_of_itself_so_nothing_is_told_by_it():
    one = answer("Fe L", "clay", passes("alike", iron(FERRIC)), [known("ferric", FERRIC, 0.9)], Recipe())
    assert not one.detail["unlike"]
    assert (one.verdict, one.detail["alone"]) == ("cannot-tell", True)
    assert "**one reference is always all of itself**" in one.marked and "percent" not in one.marked
    assert one.would_change_it[0].startswith("Add a second reference")
    codes = {fact.code for fact in one.because}
    assert codes == {"sum", "misfit", "misfit-explained"}, "what is left over, and no share of anything"
    share = one.detail["shares"]["ferric"]
    assert (share["low"], share["high"], share["limit"], one.detail["held"]) == (0.0, 1.0, 1.0, [])
    assert not any("interval holds" in each for each in one.cautions)
    assert [type(panel).__name__ for panel in figure_of(one).panels] == ["Plot"], "no fan is drawn of it"


def test_one_reference_that_differs_is_still_called_unlike():
    one = answer("Fe L", "clay", passes("ferrous clay", iron(FERROUS)), [OXIDES[1]], Recipe())
    assert one.detail["unlike"] and "none of our references" in one.marked


def test_a_reference_that_ends_too_early_is_refused_by_name():
    short = ENERGY[:70]
    early = Reference("early", passes("early", iron(FERRIC, short), short))
    recipe = Recipe.model_validate(
        {"baseline": {"below_ev": (698, 704)}, "scale": {"method": "none", "above_ev": (730, 740)}}
    )
    with pytest.raises(
        QuestionRefused, match=r"reference early at Fe L: needed 704.0 to 730.0 eV, found 698.0"
    ):
        answer("Fe L", "clay", MIXED, [OXIDES[0], early], recipe)


def known(name: str, kind, value: float | None) -> Reference:
    """A reference of which a source says how much of the iron is ferric."""
    source = "An invented paper for tests, 2026"
    held = (
        () if value is None else (Holding(gives="share of Fe(III)", value=value, error=0.02, source=source),)
    )
    return Reference(name, passes(name, iron(kind)), holds=held)


def test_what_the_references_hold_is_told_of_the_mixture_with_fan_and_stated_error():
    found = answer(
        "Fe L", "clay", MIXED, [known("ferrous", FERROUS, 0.1), known("ferric", FERRIC, 1.0)], Recipe()
    )
    (held,) = found.detail["held"]
    truth = 0.3 * 0.1 + 0.7 * 1.0
    assert held["low"] < truth < held["high"]
    share = found.detail["shares"]["ferric"]
    assert held["high"] - held["low"] > 0.9 * (share["high"] - share["low"])
    (fact,) = told(found, "held")
    assert fact.value - fact.uncertainty == pytest.approx(held["low"])
    assert any("An invented paper for tests, 2026" in caution for caution in found.cautions)


def test_without_a_word_on_one_reference_the_quantity_is_not_told():
    found = answer(
        "Fe L", "clay", MIXED, [known("ferrous", FERROUS, None), known("ferric", FERRIC, 1.0)], Recipe()
    )
    (fact,) = told(found, "held")
    assert fact.value is None and fact.what.endswith("nobody typed what {specimen:ferrous} holds")


def test_where_nothing_is_known_of_any_reference_nothing_is_said(found):
    assert found.detail["held"] == [] and not told(found, "held")


def lit(some: tuple[Pass, ...], **dead_time) -> tuple[Pass, ...]:
    """The same curves, counted as fluorescence by four elements at once."""
    return tuple(_lit(each, dead_time) for each in some)


def _lit(each: Pass, dead_time: dict) -> Pass:
    (value,) = each.scan.channels["absorption"].raw
    raw = np.tile(1e4 * (value + 1.0), (4, 1))
    channel = Channel("fluorescence", raw, "counts", tuple("abcd"), **dead_time)
    scan = replace(each.scan, channels={"fluorescence": channel}, signal="fluorescence")
    return flagged([scan], Recipe())[0]


@pytest.mark.parametrize(
    ("dead_time", "unknown"), [({}, ["clay"]), ({"corrected": True}, []), ({"dead_time_s": 1e-7}, [])]
)
def test_it_is_told_which_terms_of_the_detector_the_interval_holds(found, dead_time, unknown):
    assert not found.detail["detector"]["fluorescence"]
    assert not any("dead time" in each for each in found.cautions), "absorption has none"
    one = answer("Fe L", "clay", lit(MIXED, **dead_time), OXIDES, Recipe())
    assert len(one.detail["detector"]["dead_time_unknown"]) == len(unknown)
    said = " ".join(one.cautions)
    assert ("Nobody named a dead time" in said) == bool(unknown)
    assert "Self-absorption is in the interval only as far" in said
