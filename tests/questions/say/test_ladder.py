"""What each claim level asks for, which answer meets it, and how far the data carry a claim."""

from dataclasses import replace

import pytest
import sample_answers as samples

from edgeshift.questions import say
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer
from edgeshift.records.room import Claim

TEXT = {"arms": [{"name": "raw", "control": True}, {"name": "fired"}]}
SEEN = Answer("here", "answered", "Aluminium is here.", detail={"elements": {"Al": {"verdict": "seen"}}})
FOUND = {"units": {"raw": 3, "fired": 3}, "control_named": True, "role": "family", "matters": None}
STILL = {"scans": "not-shown", "spots": "cannot-test", "units": "not-shown"}


def claim(level=3, **how) -> Claim:
    return Claim(1, "we say so", "", "", level, "student", "2026-03-14T15:00:00Z", **{"edge": "Al K"} | how)


def grounds(text=TEXT, controls=(), **found) -> say.Grounds:
    return say.Grounds(
        Experiment.model_validate(text), 6, 6, SEEN, samples.real(**FOUND | found), tuple(controls)
    )


def control(units="not-shown") -> Answer:
    """The answer to an edge that should not move."""
    one = samples.real(rungs=STILL | {"units": units}, would_have_shown={"units": 0.1}, role="control")
    return replace(one, edge="K L")


def asked(said: Claim, held: say.Grounds) -> tuple[str, int | None, list[str]]:
    """Verdict, level carried, and what is missing."""
    found = say.answer(said, held)
    assert found.detail["asked"] == said.level
    assert (found.verdict == "carried") == (not found.detail["missing"])
    return found.verdict, found.detail["carried"], [one["code"] for one in found.detail["missing"]]


def test_three_lit_rungs_and_three_units_carry_level_three():
    assert asked(claim(), grounds()) == ("carried", 3, [])


def test_two_units_in_an_arm_carry_no_more_than_level_two():
    held = grounds(units={"raw": 3, "fired": 2})
    assert asked(claim(), held) == ("not-carried", 2, ["three-units"])
    missing = say.answer(claim(), held).detail["missing"][0]
    assert missing["value"] == 2.0 and missing["unit"] == "pairs"
    assert missing["act"] == "Measure one more pair, each treated on its own."


def test_a_units_rung_that_is_not_shown_is_missing_with_the_difference_that_would_have_shown():
    held = grounds(
        rungs={"scans": "lit", "spots": "lit", "units": "not-shown"}, would_have_shown={"units": 0.3}
    )
    assert asked(claim(), held) == ("not-carried", 2, ["units-lit"])
    assert say.answer(claim(), held).detail["missing"][0]["value"] == 0.3


def test_repeats_on_one_spot_each_cannot_tell_specimens_from_spots():
    rungs = {"scans": "lit", "spots": "cannot-test", "units": "cannot-test"}
    held = grounds(rungs=rungs, units={"raw": 1, "fired": 1})
    assert asked(claim(2), held) == ("cannot-tell", 1, ["beyond-spots"])
    assert say.answer(claim(2), held).would_change_it == ("Measure a second spot on each specimen.",)


def test_no_difference_beyond_repeats_carries_only_that_the_element_is_there():
    assert asked(claim(2), grounds(rungs=STILL, would_have_shown={"scans": 0.1})) == (
        "not-carried",
        1,
        ["beyond-spots"],
    )


@pytest.mark.parametrize(("verdict", "told"), [("not-seen", "not-carried"), ("cannot-tell", "cannot-tell")])
def test_an_element_that_is_not_seen_carries_nothing_above_its_scans(verdict, told):
    here = replace(SEEN, detail={"elements": {"Al": {"verdict": verdict}}})
    assert asked(claim(1), replace(grounds(), here=here)) == (told, 0, ["element-seen"])


def test_no_kept_scan_carries_nothing_at_all():
    verdict, carried, missing = asked(claim(0), replace(grounds(), kept=0))
    assert (verdict, carried, missing) == ("not-carried", None, ["scan-kept"])


def test_a_claim_without_an_edge_goes_no_higher_than_that_something_was_measured():
    assert asked(claim(3, edge=None), replace(grounds(), here=None)) == ("not-carried", 0, ["edge", "edge"])


@pytest.mark.parametrize(
    ("higher", "low", "high", "missing"),
    [
        ("fired", 0.5, 0.76, []),
        ("raw", 0.5, 0.76, ["direction"]),
        ("fired", -0.1, 0.76, ["direction"]),
    ],
)
def test_a_direction_must_be_that_of_the_feature_and_beyond_its_give_or_take(higher, low, high, missing):
    feature = samples.READ | {"words": "bump", "difference": 0.63, "low": low, "high": high}
    assert asked(claim(higher=higher), grounds(feature=feature))[2] == missing


def test_a_claim_about_a_feature_asks_that_its_own_give_or_take_leaves_zero():
    feature = samples.READ | {"words": "bump", "difference": 0.1, "low": -0.2, "high": 0.4}
    said = claim(feature={"kind": "height", "windows": [[1566, 1567]]})
    assert asked(said, grounds(feature=feature)) == ("not-carried", 1, ["feature"])
    assert asked(claim(), grounds(feature=feature)) == ("carried", 3, [])


def test_a_cause_asks_for_an_edge_that_should_not_move_and_did_not():
    assert asked(claim(5), grounds())[2] == ["control-edge"]
    assert asked(claim(5), grounds(controls=[control()])) == ("carried", 5, [])
    moved = grounds(controls=[control("lit")])
    assert asked(claim(5), moved) == ("not-carried", 3, ["control-edge"])
    assert asked(claim(5), grounds(controls=[control("cannot-test")]))[0] == "cannot-tell"


def test_a_cause_asks_for_a_named_control_and_for_arms_in_turn():
    held = grounds(controls=[control()], control_named=False)
    assert asked(claim(5), held)[2] == ["control"]
    assert asked(claim(5), replace(held, confounded=True))[2] == ["control", "in-turn"]


def test_no_shift_carries_level_six():
    assert asked(claim(6), grounds(controls=[control()])) == ("not-carried", 5, ["all-such"])


def test_no_level_is_met_above_one_that_is_not():
    """Everything that a cause asks for is there, but nothing differs: its rung stays dark."""
    held = grounds(controls=[control()], rungs=STILL, would_have_shown={"scans": 0.1, "units": 0.2})
    states = [one["state"] for one in say.answer(claim(3), held).detail["levels"]]
    assert states == ["met", "met", "not-met", "not-met", "not-asked", "not-met", "not-met"]


UNITS = {
    **TEXT,
    "units": [{"name": "r", "arm": "raw"}, {"name": "f", "arm": "fired"}],
    "specimens": [{"name": "R", "unit": "r"}, {"name": "F", "unit": "f"}],
}


def shares(specimen: str, middle: float, references=("A", "B"), half: float = 0.1) -> Answer:
    parts = {"A": 1 - middle, "B": middle}
    told = {n: {"value": parts[n], "low": parts[n] - half, "high": parts[n] + half} for n in references}
    return Answer("here", "answered", "shares", "Al K", detail={"specimen": specimen, "shares": told})


def test_a_change_resembles_one_between_references_where_the_intervals_of_a_share_lie_apart():
    held = replace(grounds(UNITS), shares=(shares("R", 0.1), shares("F", 0.6)))
    assert asked(claim(4), held) == ("carried", 4, [])
    close = replace(held, shares=(shares("R", 0.1), shares("F", 0.25)))
    assert asked(claim(4), close) == ("not-carried", 3, ["resembles"])


def test_one_reference_is_no_two_to_change_between():
    one = ("A",)
    held = replace(grounds(UNITS), shares=(shares("R", 0.1, one), shares("F", 0.6, one)))
    assert asked(claim(4), held)[2] == ["references"]


def test_shares_that_nobody_asked_for_are_neither_met_nor_missed():
    steps = {one["level"]: one["state"] for one in say.answer(claim(3), grounds()).detail["levels"]}
    assert steps[4] == "not-asked"


def test_people_s_words_stand_letter_for_letter_and_only_in_their_own_place():
    words = "our fire, it CHANGED the Clay   (we think!)"
    found = say.answer(replace(claim(), claim=words, reason="because we saw it"), grounds())
    assert found.detail["claim"]["claim"] == words
    ours = [found.sentence, *found.would_change_it, *found.cautions, *(fact.what for fact in found.because)]
    assert not any("CHANGED" in text for text in ours)


@pytest.mark.parametrize(
    ("matter", "angle", "stays"),
    [
        ({"formula": "C", "layered": True}, 45, True),
        ({"formula": "C", "layered": True, "second_angle_deg": 45}, 45, True),
        ({"formula": "C", "layered": True, "second_angle_deg": 90}, 45, False),
        ({"formula": "C", "layered": True, "second_angle_deg": 90}, None, True),
        ({"formula": "C"}, 45, False),
        (None, 45, False),
    ],
)
def test_texture_stays_on_a_layered_material_until_a_second_angle_was_measured(matter, angle, stays):
    held = grounds({**TEXT, "matter": matter, "beamline": {"incidence_deg": angle}})
    told = "Texture not excluded: layered material, and no second angle was measured."
    assert (told in say.answer(claim(2), held).cautions) == stays
    assert told not in say.answer(claim(1), held).cautions


def test_the_reasons_name_every_need_with_its_number():
    codes = {fact.code: fact for fact in say.answer(claim(), grounds()).because}
    assert set(codes) == {
        "units-lit-met",
        "three-units-met",
        "beyond-spots-met",
        "element-seen-met",
        "scan-kept-met",
    }
    assert codes["three-units-met"].value == 3.0 and codes["scan-kept-met"].value == 6.0
