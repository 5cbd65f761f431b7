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
    befell = {file: {"blips_ev": [1568.2] if file == "a.dat" else [], "injected_ev": []} for file in places}
    trap = {"words": "Something.", "by_plant": by_plant, "caught": caught}
    told = {"traps": {"T1": trap}, "unharmed": unharmed, "scans": befell, "places": places}
    return {**told, "elements": {"A": ["Al"], "B": ["Al", "Ca"]}}


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
    ("value", "expected"), [(0.37, "hit"), (-0.35, "miss"), (0.45, "miss"), (None, "miss")]
)
def test_a_size_has_to_be_near_and_of_the_right_sign(value, expected):
    told = seal([{"question": "trust", "field": "facts", "codes": ["slide"], "near": 0.35, "within": 0.05}])
    assert outcome(told, trust({}, Fact("slide", "", value)))[0] == expected


@pytest.mark.parametrize(
    ("named", "expected"), [(("B", "Z"), "hit"), (("B", "A"), "miss"), (("A", "Y"), "miss")]
)
def test_two_swapped_labels_have_to_be_the_right_two(named, expected):
    """b.dat and z.dat are of the swapped vials B and Z; a.dat and y.dat are of others."""
    told = seal(
        [{"question": "trust", "field": "facts", "codes": ["labels-swapped"], "only": True}],
        (("b.dat", "z.dat"),),
    )
    fact = Fact("labels-swapped", "", evidence=tuple(Ref("specimen", name) for name in named))
    labels = {f"{name.lower()}.dat": (name, None) for name in "ABYZ"}
    ((call, _),) = trap_calls(told, Evidence((trust({}, fact),), labels=labels))
    assert call.outcome == expected


@pytest.mark.parametrize(("at_ev", "expected"), [(709.52, "hit"), (711.0, "miss")])
def test_a_point_counts_only_at_its_energy(at_ev, expected):
    rule = {"question": "trust", "field": "points", "codes": ["injection"], "at_ev": 709.5, "within": 0.06}
    evidence = Evidence((trust({"b.dat": ["injection"]}),), points={"b.dat": [("injection", at_ev)]})
    ((call, _),) = trap_calls(seal([rule]), evidence)
    assert call.outcome == expected


def test_traps_come_in_their_natural_order():
    told = seal(REASON)
    told["traps"] = dict.fromkeys(("T1", "T10", "T2"), told["traps"]["T1"])
    assert [call.trap for call, _ in trap_calls(told, Evidence(()))] == ["T1", "T2", "T10"]


def test_what_could_not_be_told_yet_is_left_out_of_a_shift_that_was_cut_short():
    told = seal(REASON, (("b.dat", "c.dat"),))
    half, whole = frozenset({"a.dat", "b.dat"}), frozenset(told["places"])
    found, silent = trust({"b.dat": ["trip"]}), trust({"b.dat": []})

    def calls(answer_, came):
        return [call.outcome for call, _ in trap_calls(told, Evidence((answer_,), came=came))]

    assert calls(silent, half) == []
    assert calls(found, half) == ["hit"]
    assert calls(silent, whole) == ["miss"]
    assert untouched(told, Evidence((), came=half)) == ("a.dat",)


def test_a_verdict_about_an_edge_waits_until_the_edge_is_through():
    told = seal([{"question": "real", "edge": "Al K", "field": "verdict", "in": ["cannot-tell"]}], ())
    early = Answer("real", "cannot-tell", "", "Al K")
    for came, expected in ((("a.dat", "b.dat"), 0), (("a.dat", "b.dat", "c.dat"), 1)):
        assert len(trap_calls(told, Evidence((early,), came=frozenset(came)))) == expected


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


def alarms(told, *answers, **more):
    return [(call.codes, call.files) for call in false_alarms(told, Evidence(answers, **more))]


def test_a_word_that_is_not_true_of_a_scan_is_a_false_alarm_wherever_a_trap_is():
    told = seal(REASON, surveys=["gap"])
    told["traps"]["T1"]["also_true"] = ["gap"]
    said = trust(
        {"a.dat": ["tilted"], "b.dat": ["trip", "gap", "noisy"], "c.dat": ["trip"], "d.dat": ["gap"]}
    )
    assert untouched(told) == ("a.dat", "c.dat", "d.dat")
    assert alarms(told, said) == [
        (("tilted",), ("a.dat",)),
        (("noisy",), ("b.dat",)),
        (("trip",), ("c.dat",)),
    ]


@pytest.mark.parametrize(
    ("flagged", "false"),
    [
        ([1568.21], False),
        ([1568.5], True),
        ([1568.2, 1580.0], True),
    ],
)
def test_a_blip_excuses_the_very_point_that_it_touched_and_no_other(flagged, false):
    points = {"a.dat": [("spike", at_ev) for at_ev in flagged]}
    found = alarms(seal(REASON), trust({"a.dat": ["spike", "feature-lost"]}), points=points)
    assert found == ([(("feature-lost", "spike"), ("a.dat",))] if false else [])


def test_one_plant_excuses_its_own_words_alone():
    told = seal([{**REASON[0], "plant": 2}], (("b.dat",), ("a.dat",)))
    said = trust({"a.dat": ["trip"], "b.dat": ["trip"]})
    assert alarms(told, said) == [(("trip",), ("b.dat",))]


def test_a_finding_of_the_whole_shift_is_false_where_nothing_like_it_was_planted():
    told = seal(REASON, facts=["one-batch"])
    facts = [Fact(code, "") for code in ("trip", "ghost-line", "one-batch")]
    assert alarms(told, trust({}, *facts)) == [(("ghost-line",), ())]


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


def here(verdict, *suspects, element="Ba", specimen="B", scan="scan-002"):
    """What is here: one element in one specimen, with suspects as (kind, what, reason)."""
    told = [dict(zip(("kind", "what", "reason"), each, strict=True)) for each in suspects]
    one = {"verdict": verdict, "scan": scan, "suspects": told}
    return Answer("here", "answered", "", detail={"elements": {element: {"specimens": {specimen: one}}}})


NAMED = {
    "question": "here",
    "field": "suspects",
    "element": "Ba",
    "specimen": "B",
    "verdicts": ["not-seen", "cannot-tell"],
    "kind": "second-order",
    "what": "Al K",
    "codes": ["fits"],
}


@pytest.mark.parametrize(
    ("answer", "expected"),
    [
        (here("not-seen", ("second-order", "Al K", "fits")), True),
        (here("seen", ("second-order", "Al K", "fits")), False),
        (here("not-seen", ("second-order", "Si K", "fits")), False),
        (here("not-seen", ("second-order", "Al K", "unmeasured")), False),
        (here("not-seen", ("second-order", "Al K", "fits"), specimen="A"), False),
    ],
)
def test_a_trap_is_named_rightly_only_by_its_own_suspect_beside_the_right_verdict(answer, expected):
    told = seal(REASON)
    told["traps"]["T1"]["named"] = [NAMED]
    ((call, _),) = trap_calls(told, Evidence((answer,)))
    assert call.named is expected and call.outcome == "miss", "naming alone catches nothing"


def test_a_trap_that_is_about_no_element_is_not_asked_to_be_named():
    ((call, _),) = trap_calls(seal(REASON), Evidence((here("seen"),)))
    assert call.named is None


def test_an_element_that_is_seen_and_not_there_is_a_false_alarm_of_the_scan_that_shows_it():
    scans = trust({"b.dat": []}).detail["scans"]
    scans["b.dat"]["scan"] = "scan-002"
    judged = Answer("trust", "all-kept", "", detail={"scans": scans})
    for element, verdict, expected in (("Ba", "seen", 1), ("Ba", "cannot-tell", 0), ("Ca", "seen", 0)):
        calls = false_alarms(seal(REASON), Evidence((judged, here(verdict, element=element))))
        assert len(calls) == expected
    (call,) = false_alarms(seal(REASON), Evidence((judged, here("seen"))))
    assert (call.codes, call.files) == (("seen", "Ba in B"), ("b.dat",))


def test_a_swapped_label_makes_no_element_false():
    """b.dat is truly of B, whatever its label says."""
    scans = trust({"b.dat": []}).detail["scans"]
    scans["b.dat"]["scan"] = "scan-002"
    judged = Answer("trust", "all-kept", "", detail={"scans": scans})
    assert not false_alarms(seal(REASON), Evidence((judged, here("seen", element="Ca", specimen="A"))))
