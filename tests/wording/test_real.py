"""The sentences of "Is the difference real?", verdict by verdict."""

from __future__ import annotations

import itertools

import pytest

from edgeshift.records.answer import VERDICTS, Answer
from edgeshift.wording import real as words

STATES = ("lit", "not-shown", "cannot-test")
PAIRS = [
    {"arm": a, "pair": p, "value": v + (a == "fired")}
    for p, v in (("1", 0.1), ("2", 0.2))
    for a in ("raw", "fired")
]


def detail(**changes) -> dict:
    return {
        "control": "raw",
        "treated": ["fired"],
        "treated_arms": 1,
        "paired": True,
        "judged_by": "feature",
        "units": {"raw": 2, "fired": 2},
        "matters": 0.3,
        "feature": {"unit": "edge steps"},
        "declared": "before",
        "dots": PAIRS,
    } | changes


def states(scans="lit", spots="lit", units="lit") -> dict:
    return {"scans": scans, "spots": spots, "units": units}


def plain(marked: str) -> str:
    """The sentence without the marks of its one fact, of which there is one."""
    assert marked.count("**") == 2, marked
    return marked.replace("**", "")


def said(verdict: str, rungs=None, **changes) -> str:
    return plain(words.sentence(verdict, rungs or states(), detail(**changes)))


def test_every_pair_that_moved_the_same_way_is_counted_in_words():
    assert said("units") == "Both pairs moved the same way, beyond their own scatter."


def test_three_pairs_are_counted_in_words():
    third = [{"arm": a, "pair": "3", "value": 0.5 + (a == "fired")} for a in ("raw", "fired")]
    assert said("units", dots=PAIRS + third).startswith("All three pairs moved the same way")


def test_of_several_treated_arms_the_one_is_named():
    assert said("not-shown", treated_arms=2).startswith("{arm:fired}: ")


def test_pairs_that_moved_apart_are_not_said_to_agree():
    apart = [*PAIRS[:3], {**PAIRS[3], "value": -5.0}]
    assert (
        said("units", dots=apart) == "Beyond the scatter of their units, {arm:fired} differs from {arm:raw}."
    )


@pytest.mark.parametrize("changes", [{"paired": False}, {"judged_by": "curve"}])
def test_without_pairs_or_a_feature_nothing_is_said_of_every_pair(changes):
    assert "pairs" not in said("units", **changes)


def test_a_rung_that_only_the_shape_lit_claims_no_more_than_a_change_of_shape():
    by_shape = {"judged_by": "curve", "lit_by": {"units": ["shape"], "spots": ["shape"]}}
    assert said("units", **by_shape) == (
        "The shape changed from {arm:raw} to {arm:fired}, beyond the scatter of their units."
    )
    assert said("spots", states(units="not-shown"), **by_shape) == (
        "They differ in shape beyond other spots, but not beyond the scatter of their units."
    )
    alone = said("spots", states(units="cannot-test"), units={"raw": 1, "fired": 1}, **by_shape)
    assert alone == "These two differ in shape. One unit each cannot tell us why."
    both = by_shape | {"lit_by": {"units": ["full", "shape"]}}
    assert said("units", **both).endswith("{arm:fired} differs from {arm:raw}.")


def test_one_unit_each_cannot_tell_us_why():
    found = said("spots", states(units="cannot-test"), units={"raw": 1, "fired": 1})
    assert found == "These two differ. One unit each cannot tell us why."


def test_no_change_names_the_difference_that_was_declared():
    assert (
        said("no-change")
        == "No change larger than 0.3 edge steps between {arm:raw} and {arm:fired}, as declared beforehand."
    )
    for feature in ({"unit": "ratio"}, None):
        assert said("no-change", feature=feature).startswith("No change larger than 0.3 between")


def test_not_shown_is_never_called_no_change():
    found = said("not-shown", states(units="not-shown"))
    assert "No difference shown" in found and "change" not in found


@pytest.mark.parametrize("verdict", VERDICTS["real"])
@pytest.mark.parametrize("rungs", list(itertools.product(STATES, repeat=3)))
def test_every_sentence_is_short_and_names_arms_by_tokens(verdict, rungs):
    for counts, arms in (
        ({"raw": 1, "fired": 1}, 1),
        ({"raw": 3, "fired": 2}, 1),
        ({"raw": 3, "fired": 2}, 3),
    ):
        rung_states = dict(zip(("scans", "spots", "units"), rungs, strict=True))
        found = said(verdict, rung_states, units=counts, treated_arms=arms)
        assert 3 < len(found.split()) <= 20
        assert found.endswith(".")
        assert "raw" not in found.replace("{arm:raw}", "") and "fired" not in found.replace("{arm:fired}", "")


@pytest.mark.parametrize(
    ("rungs", "declared", "act"),
    [
        (states(units="cannot-test"), "before", "Treat and measure more units"),
        (states(spots="cannot-test"), "before", "A second spot on a unit."),
        (states(scans="cannot-test"), "before", "A repeat scan on a spot."),
        (states(), "after", "Fresh units, with the feature declared before they are measured."),
    ],
)
def test_each_thing_that_is_lacking_has_its_act(rungs, declared, act):
    acts = words.would_change_it(rungs, {"declared": declared})
    assert len(acts) == 1
    assert acts[0].startswith(act)


def test_a_difference_that_is_not_shown_wants_what_narrows_its_give_or_take():
    unit = {"act": "unit", "middle": 0.8, "low": 0.8, "high": 0.8, "reason": ""}
    wide = [
        {"act": act, "middle": None, "low": 0.5, "high": 1.0, "reason": "wide"} for act in ("scan", "spot")
    ]
    numbers = detail(one_more=[*wide, unit])
    acts = words.would_change_it(states(units="not-shown"), numbers, "Complete four units.")
    assert acts[:2] == (
        "Complete four units.",
        "One more pair would narrow the give-or-take by at least 20 %.",
    )
    assert not any("would not do it" in act for act in acts)


SPENT = {"looks": [{"units": 2, "planned": 2}], "next_look_at": None}


def test_where_no_further_look_is_planned_nothing_is_promised():
    acts = words.would_change_it(states(units="not-shown"), detail(one_more=[], **SPENT))
    assert acts == ("A pair beyond the plan is shown, but not judged; the third rung stays as it is.",)
    free = words.would_change_it(states(units="not-shown"), detail(one_more=[], paired=False, **SPENT))
    assert free[0].startswith("A unit beyond the plan")


@pytest.mark.parametrize("looked", [{}, SPENT])
def test_beside_no_change_no_more_units_are_advised(looked):
    numbers = detail(one_more=[], **looked)
    assert words.would_change_it(states(units="not-shown"), numbers, verdict="no-change") == ()


def test_where_nothing_is_lacking_nothing_would_change_it():
    assert words.would_change_it(states(), {"declared": "before"}) == ()


def one(edge: str, verdict: str) -> Answer:
    return Answer("real", verdict, "Said.", edge)


@pytest.mark.parametrize(
    ("family", "moved", "controls", "sentence"),
    [
        ([one("Al K", "units")], [], ["K L"], "Al K moved beyond the scatter of units; K L did not."),
        (
            [one("Al K", "units"), one("Fe L", "units")],
            [],
            [],
            "Al K and Fe L moved beyond the scatter of units.",
        ),
        (
            [one("Al K", "units")],
            ["K L"],
            ["K L"],
            "The control edge K L moved too, so nothing here is chemistry yet.",
        ),
        (
            [one("Al K", "units")],
            ["Fe K", "Ti K"],
            ["Fe K", "Ti K"],
            "The control edges Fe K and Ti K moved too, so nothing here is chemistry yet.",
        ),
        ([one("Al K", "spots")], [], [], "Al K differs between these specimens; the units cannot say more."),
        ([one("Al K", "no-change")], [], [], "Al K: no change as large as what was declared to matter."),
        ([one("Al K", "not-shown")], [], [], "No difference shown beyond the scatter of units."),
        ([one("Al K", "cannot-tell")], [], [], "We cannot tell yet."),
        ([], [], [], "We cannot tell yet."),
    ],
)
def test_one_line_sums_up_all_edges(family, moved, controls, sentence):
    assert plain(words.summary(family, moved, controls)) == sentence


def test_a_control_edge_that_moved_in_two_arms_is_named_once():
    assert words.control_moved(["K L", "K L"])[0].startswith("K L should not have moved")
    assert plain(words.summary([], ["K L", "K L"], [])).startswith("The control edge K L moved too")


def test_a_summary_never_says_chemistry_where_a_control_moved():
    assert words.control_moved(["K L", "Ti L"]) == (
        "K L and Ti L should not have moved, but did: suspect the instrument before the chemistry.",
    )
