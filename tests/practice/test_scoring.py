"""Scoring reads the table, the answers and the acts, and nothing else."""

import pytest

from edgeshift.practice.scoring import Act, Evidence, false_alarms, trap_calls, untouched
from edgeshift.records.answer import Answer, Fact, Ref


def trust(scans, *facts):
    """A trust answer with codes by file."""
    told = {file: {"reasons": [{"code": code} for code in codes]} for file, codes in scans.items()}
    return Answer("trust", "all-kept", "", because=tuple(facts), detail={"scans": told})


def seal(caught, by_plant=(("b.dat",),), **unharmed):
    """An opened seal with one trap on b.dat; a.dat is hit by a blip, c.dat lies beside b.dat."""
    places = {
        "a.dat": ["Al K", "A"],
        "b.dat": ["Al K", "B"],
        "c.dat": ["Al K", "B"],
        "d.dat": ["survey", "A"],
    }
    befell = {file: {"blips": [3] if file == "a.dat" else [], "injected": []} for file in places}
    trap = {"words": "Something.", "by_plant": by_plant, "caught": caught}
    return {"traps": {"T1": trap}, "unharmed": unharmed, "scans": befell, "places": places}


def outcome(told, *answers, acts=()):
    ((call, _),) = trap_calls(told, Evidence(answers, acts))
    return call.outcome, call.by, call.codes


REASON = [{"question": "trust", "field": "reasons", "codes": ["trip", "beam-dropped"]}]


def test_a_reason_counts_on_the_trap_own_scans_only():
    assert outcome(seal(REASON), trust({"b.dat": ["trip"]})) == ("hit", "tool", ("trip",))
    assert outcome(seal(REASON), trust({"a.dat": ["trip"], "b.dat": ["spike"]})) == ("miss", "", ())


def test_one_plant_of_several_can_be_named():
    told = seal([{**REASON[0], "plant": 2}], (("b.dat",), ("a.dat",)))
    assert outcome(told, trust({"b.dat": ["trip"]}))[0] == "miss"
    assert outcome(told, trust({"a.dat": ["trip"]}))[0] == "hit"


@pytest.mark.parametrize(
    ("value", "expected"), [(0.37, "hit"), (-0.33, "hit"), (0.45, "miss"), (None, "miss")]
)
def test_a_size_has_to_be_near(value, expected):
    near = {"near": 0.35, "within": 0.05, "either_sign": True}
    told = seal([{"question": "trust", "field": "facts", "codes": ["slide"], **near}])
    assert outcome(told, trust({}, Fact("slide", "", value)))[0] == expected


def test_a_finding_counts_only_where_it_speaks_of_the_trap_own_scans():
    told = seal([{"question": "trust", "field": "anywhere", "codes": ["ghost-line"]}])
    for file, expected in (("b.dat", "hit"), ("a.dat", "miss")):
        scans = trust({file: []}).detail["scans"]
        scans[file]["scan"] = "scan-009"
        fact = Fact("ghost-line", "", evidence=(Ref("scan", "scan-009"),))
        assert (
            outcome(told, Answer("trust", "all-kept", "", because=(fact,), detail={"scans": scans}))[0]
            == expected
        )
    assert outcome(told, trust({}, Fact("ghost-line", "")))[0] == "hit"


def test_a_person_act_counts_for_its_files_and_carries_the_role():
    told = seal([{"person": "judge", "verdicts": ["set-aside"]}])
    aside = Act("judge", frozenset({"b.dat"}), "set-aside", role="mentor")
    assert outcome(told, acts=(aside,)) == ("hit", "mentor", ("judge",))
    kept = Act("judge", frozenset({"b.dat"}), "keep", role="mentor")
    other = Act("judge", frozenset({"a.dat"}), "set-aside", role="mentor")
    assert outcome(told, acts=(kept, other))[0] == "miss"


@pytest.mark.parametrize(
    ("test", "expected"),
    [
        ({"in": ["spots", "scans"]}, "hit"),
        ({"not": ["units"]}, "hit"),
        ({"is": "units"}, "miss"),
        ({}, "miss"),
    ],
)
def test_a_verdict_is_held_against_the_table(test, expected):
    rule = {"question": "real", "edge": "Al K", "treated": "burn", "field": "verdict", **test}
    found = Answer("real", "spots", "", "Al K", detail={"treated": ["burn"]})
    other = Answer("real", "units", "", "Fe L", detail={"treated": ["burn"]})
    assert outcome(seal([rule]), found, other)[0] == expected


def test_every_part_of_all_is_needed():
    path = {"question": "real", "field": "detail.feature.difference"}
    rule = {"all": [{**path, "below": 0.0}, {**path, "above": -1.0}]}
    for value, expected in ((-0.5, "hit"), (0.5, "miss"), (-2.0, "miss"), (None, "miss")):
        found = Answer("real", "spots", "", "Al K", detail={"feature": {"difference": value}})
        assert outcome(seal([rule]), found)[0] == expected


def alarms(told, *answers):
    return [(call.codes, call.files) for call in false_alarms(told, Evidence(answers))]


def test_a_word_against_an_untouched_scan_is_a_false_alarm_unless_something_befell_it():
    told = seal(REASON, blips=["spike"], beside=["tilted"], surveys=["gap"])
    said = trust({"a.dat": ["spike", "tilted"], "b.dat": ["noisy"], "c.dat": ["tilted"], "d.dat": ["gap"]})
    assert untouched(told) == ("a.dat", "c.dat", "d.dat")
    assert alarms(told, said) == [(("tilted",), ("a.dat",))]


def test_a_finding_of_the_whole_shift_is_false_where_nothing_like_it_was_planted():
    told = seal(REASON, facts=["trip", "ghost-line"])
    assert alarms(told, trust({}, Fact("trip", ""), Fact("ghost-line", ""))) == [(("ghost-line",), ())]


def test_a_lit_units_rung_on_a_control_edge_is_false():
    told = seal(REASON, units_not_lit=["K L"])
    lit = Answer("real", "units", "", "K L")
    assert alarms(told, lit, Answer("real", "units", "", "Al K")) == [(("units",), ("K L",))]


def test_what_is_true_of_one_specimen_at_an_edge_is_false_of_another():
    def told_of(specimen):
        told = seal([], edges={"Ba M RAW-A": ["ghost-line"]})
        return {**told, "places": {**told["places"], "c.dat": ["Ba M", specimen]}}

    said = trust({"c.dat": ["ghost-line"]})
    assert not alarms(told_of("RAW-A"), said)
    assert alarms(told_of("INDIUM"), said)
