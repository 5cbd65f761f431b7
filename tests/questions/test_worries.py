"""A worry names the number that put it there, and goes when that goes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.questions import worries as w
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.room import Acceptance
from edgeshift.records.scan import Place, Scan
from edgeshift.records.shift_state import Arrival, DeclaredTie, ShiftState
from edgeshift.wording import trust as trust_words
from edgeshift.wording import trust_findings
from edgeshift.wording.names import TOKEN

TEXT = Experiment.model_validate(
    {
        "arms": [{"name": "raw", "control": True}, {"name": "fired"}],
        "units": [{"name": "A", "arm": "raw"}, {"name": "B", "arm": "fired"}],
        "specimens": [
            {"name": "A1", "unit": "A"},
            {"name": "B1", "unit": "B"},
            {"name": "clay", "kind": "standard"},
        ],
    }
)
NUMBERS = {
    "slide-of-energy": {"slide": 0.35, "sigma": 0.02, "since": "{scan:scan-002}"},
    "damage": {"count": "Three", "percent": 4.0, "sigma": 0.5},
    "off-specimen": {"percent": 40.0},
    "order-confounded": {"first": "{arm:raw}", "second": "{arm:fired}", "edges": "Al K"},
    "one-batch": {"count": "Three", "arm": "{arm:fired}"},
    "labels-swapped": {"edges": "Al K"},
    "series-steady": {"count": "Three", "percent": 0.1, "sigma": 0.5, "limit": 1.0},
}
VALUED = {"slide-of-energy": (0.35, 0.04, "eV"), "damage": (4.0, 1.0, "%"), "off-specimen": (40.0, None, "%")}
EVIDENCE = {
    "order-confounded": (Ref("arm", "raw"), Ref("arm", "fired"), Ref("edge", "Al K")),
    "one-batch": (Ref("unit", "A"), Ref("unit", "B"), Ref("unit", "C")),
}
CAUSES = (*(code for code in NUMBERS if code != "series-steady"), "control-moved", "cannot-tell",
          "not-repeated", "no-place", "no-tie", "refused", "text-broken")  # fmt: skip


def scan(number: int, edge: str = "Al K", specimen: str | None = "A1", seconds: float = 600.0) -> Scan:
    energy = np.linspace(1550, 1612, 5)
    started, ended = (
        "2026-03-01T08:00:00Z",
        f"2026-03-01T08:{int(seconds // 60):02d}:{int(seconds % 60):02d}Z",
    )
    place = Place(specimen, "1")
    key = f"scan-{number:03d}"
    return Scan(key, f"{key}.dat", key, edge, energy, np.ones(5), {}, "electron-yield", place=place,
                started=started, ended=ended)  # fmt: skip


def finding(code: str) -> tuple[dict, Fact]:
    numbers = NUMBERS[code]
    scans = () if code in EVIDENCE else ("scan-002",)
    sentence = trust_findings.sentence(code, numbers)
    evidence = EVIDENCE.get(code, (Ref("scan", "scan-002"),))
    told = {"code": code, "sentence": sentence, "next": "", "scans": list(scans), "numbers": numbers}
    return told, Fact(code, sentence, *VALUED.get(code, (None, None, None)), evidence)


def entry(key: str, verdict: str = "keep", code: str = "", **numbers: float) -> dict:
    reasons = [{"code": code, "sentence": "It was so."}] if code else []
    return {"scan": key, "edge": "Al K", "verdict": verdict, "by": "tool", "reasons": reasons,
            "numbers": {code: numbers} if numbers else {}}  # fmt: skip


def real(edge: str, role: str, units_rung: str) -> Answer:
    feature = {"kind": "ratio", "words": "one over two", "unit": "ratio", "difference": 0.2, "low": 0.1,
               "high": 0.3}  # fmt: skip
    detail = {"edge": edge, "role": role, "rungs": {"units": units_rung}, "feature": feature,
              "rung_words": {"units": "one pair: no test"}, "units": {"raw": 1, "fired": 1}}  # fmt: skip
    return Answer("real", "cannot-tell", "So it is.", edge, detail=detail)


def grounds(causes: set[str] | frozenset[str], **more) -> w.Grounds:
    """A shift with just these causes of worry."""
    scans = [scan(1), scan(2), scan(3, specimen="clay", seconds=240.0)]
    arrivals = {s.key: Arrival(s.key, s.file, s.sha256, "2026-03-01T09:00:00Z", number=n)
                for n, s in enumerate(scans, 2)}  # fmt: skip
    found = [finding(code) for code in NUMBERS if code in causes]
    first = (
        entry("scan-001", "set-aside", "beam-dropped", points=14)
        if "not-repeated" in causes
        else entry("scan-001")
    )
    third = entry("scan-003", "keep", "no-specimen") if "no-place" in causes else entry("scan-003")
    said = {each["scan"]: each for each in (first, entry("scan-002"), third)}
    if "not-repeated" in causes:  # its spot was scanned no more
        scans[1] = scan(2, specimen="B1")
    trust = Answer("trust", "all-kept", "All.", because=tuple(fact for _, fact in found),
                   detail={"scans": said, "findings": [told for told, _ in found]})  # fmt: skip
    ties = (
        ()
        if "no-tie" in causes
        else (DeclaredTie(0.1, 0.05, "a table", "Al K", time="2026-03-01T09:00:00Z"),)
    )
    answers = [real("K L", "control", "lit" if "control-moved" in causes else "not-shown"),
               real("Fe L", "family", "cannot-test" if "cannot-tell" in causes else "lit")]  # fmt: skip
    state = ShiftState(events=(), experiment_text="", arrivals=arrivals, ties=ties)
    refused = {"a.txt": "It holds no numbers."} if "refused" in causes else {}
    complaint = "experiment.yaml does not hold." if "text-broken" in causes else ""
    made = w.Grounds(state, TEXT, {"Al K": tuple(scans)}, trust, answers, refused, complaint)
    return replace(made, **more)


def codes(found) -> list[str]:
    return [worry.code for worry in found]


@given(st.sets(st.sampled_from(CAUSES)))
def test_there_is_a_worry_for_every_cause_and_for_nothing_else(causes):
    assert set(codes(w.worries(grounds(causes)))) == causes


@given(st.sets(st.sampled_from(CAUSES), min_size=1), st.data())
def test_a_worry_goes_with_its_cause_and_the_others_stay_as_they_are(causes, data):
    gone = data.draw(st.sampled_from(sorted(causes)))
    before, after = w.worries(grounds(causes)), w.worries(grounds(causes - {gone}))
    assert [one.key for one in after] == [one.key for one in before if one.code != gone]


@given(st.sets(st.sampled_from(CAUSES)))
def test_at_most_five_are_told_the_most_harmful_first_each_with_its_number(causes):
    told = w.worry_list(grounds(causes))
    places = [w.PLACE_OF[code] for code in codes(told.open)]
    assert places == sorted(places) and len(places) == min(len(causes), w.MOST)
    assert told.more == max(0, len(causes) - w.MOST)
    assert all(worry.fact.value is not None and worry.sentence and worry.why for worry in told.open)
    assert len({worry.key for worry in told.open}) == len(told.open)


@given(st.sampled_from(CAUSES))
def test_an_accepted_worry_is_told_no_more_until_somebody_worries_again(code):
    seen = grounds({code})
    (worry,) = w.worry_list(seen).open
    accepted = {worry.key: Acceptance(worry.key, "host", "we know", "2026-03-01T10:00:00Z")}
    lived_with = w.worry_list(replace(seen, state=replace(seen.state, accepted=accepted)))
    assert lived_with.open == () and [each for each, _ in lived_with.accepted] == [worry]


def test_no_key_holds_a_name_that_a_curtain_hides():
    for worry in w.worries(grounds(frozenset(CAUSES))):
        assert not TOKEN.search(worry.key)
        assert not any(name in worry.key for name in ("raw", "fired", "A1", "B1", "clay", "a.txt"))


def test_a_series_that_stays_steady_worries_nobody():
    assert w.worries(grounds({"series-steady"})) == ()


def test_a_scan_set_aside_worries_with_the_number_that_set_it_aside():
    (worry,) = w.worries(grounds({"not-repeated"}))
    assert (worry.scan, worry.fact.value, worry.fact.unit) == ("scan-001", 14.0, "points")
    assert worry.sentence == "Scan 1 is set aside and not repeated."


@pytest.mark.parametrize(("by", "verdict"), [("host", "set-aside"), ("host", "keep")])
def test_a_scan_that_a_person_judged_worries_no_more(by, verdict):
    seen = grounds({"not-repeated"})
    scans = seen.trust.detail["scans"]
    scans["scan-001"] = scans["scan-001"] | {"by": by, "verdict": verdict}
    assert w.worries(seen) == ()


def test_a_scan_set_aside_worries_no_more_when_its_spot_was_scanned_again():
    seen = grounds({"not-repeated"})
    again = replace(seen.scans["Al K"][1], place=seen.scans["Al K"][0].place)
    assert w.worries(replace(seen, scans={"Al K": (seen.scans["Al K"][0], again)})) == ()


def test_scanning_again_costs_the_scans_own_minutes_and_the_move():
    (worry,) = w.worries(grounds({"not-repeated"}))
    assert (worry.act.words, worry.act.minutes) == (
        "scan again",
        12.0,
    )  # 10 min, and 1.5 of moving, rounded up


def test_a_standard_costs_its_own_minutes_and_the_way_there_and_back():
    (worry,) = w.worries(grounds({"no-tie"}))
    assert (worry.act.words, worry.act.minutes) == ("scan standard", 7.0)  # 4 min and 2 x 1.5


def test_another_edge_costs_the_change_of_edge_too():
    seen = grounds({"not-repeated"})
    first, *others = seen.scans["Al K"]
    elsewhere = tuple(replace(one, edge="Fe L") for one in others)
    (worry,) = w.worries(replace(seen, scans={"Al K": (first,), "Fe L": elsewhere}))
    assert worry.act.minutes == 14.0


def test_a_scan_without_clock_times_lasts_its_dwell_and_its_settling():
    bare = replace(scan(1), started=None, ended=None, dwell_s=np.full(5, 2.5))
    assert w.minutes_of(bare, TEXT.beamline.overheads) == pytest.approx(15.0 / 60)


def test_an_old_tie_tells_its_hours():
    seen = grounds(set())
    old = (replace(seen.state.ties[0], time="2026-03-01T06:00:00Z"),)
    (worry,) = w.worries(replace(seen, state=replace(seen.state, ties=old)))
    assert (worry.sentence, worry.fact.value) == ("The energy tie is 3.0 hours old.", 3.0)


def test_a_beam_lost_after_the_tie_worries():
    seen = grounds(set())
    trust = replace(seen.trust, cautions=(trust_words.beam_lost_since_tie(),))
    assert codes(w.worries(replace(seen, trust=trust))) == ["tie-before-loss"]


def test_every_code_has_its_place_its_reason_and_its_words():
    assert {code for code, reason in w.HARM if reason} == set(w.words.HEADS)
    assert set(w.ACT_OF) <= set(w.PLACE_OF)


def test_every_finding_there_is_worries_except_a_steady_series():
    assert set(trust_findings.FINDINGS) - set(w.PLACE_OF) == {"series-steady"}
