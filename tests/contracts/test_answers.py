"""Every answer, whatever was asked of whatever: its shape, its words, its names, and its JSON."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from itertools import pairwise

import invented_iron
import pytest
from practised import begun, files, made

from edgeshift.actions.ask import answer
from edgeshift.actions.claims import Said, claim
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.pumping import Given, pressure_log
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.answer import VERDICTS
from edgeshift.records.flags import BY_CODE
from edgeshift.wording.here import REASONS as HERE
from edgeshift.wording.here import WHY
from edgeshift.wording.names import TOKEN, Naming, open_naming
from edgeshift.wording.plain import as_json, as_text
from edgeshift.wording.trust import REASONS

KEYS = {
    "question",
    "edge",
    "verdict",
    "sentence",
    "because",
    "would_change_it",
    "cautions",
    "identity",
    "detail",
}
FACT = {"code", "what", "value", "uncertainty", "unit", "evidence"}
STATES = {"lit", "not-shown", "cannot-test"}
SCAN_VERDICTS = {"keep", "keep-with-a-note", "set-aside"}
STRANGE = {
    "RAW-": "QUOKKA-",
    "PIT750-": "WOMBAT-",
    "raw clay": "the banksias",
    "pit-fired clay": "the waratahs",
    **{f"{word}: raw": f"{word}: quokka" for word in ("name", "arm", "unit")},
    **{f"{word}: fired": f"{word}: wombat" for word in ("name", "arm", "unit")},
}
RUNGS = ["scans", "spots", "units"]
GLASS = """\
arms: [{name: air, control: true}, {name: vacuum}]
units: [{name: air 1, arm: air}, {name: vacuum 1, arm: vacuum}]
specimens: [{name: GLASS1, unit: air 1}, {name: GLASS2, unit: vacuum 1}]
edges: [{edge: Fe K}]
beamline: {place: {file_name: '^(?P<specimen>[^_]+)_(?P<spot>[0-9]+)'}}
"""


def renamed(text: str) -> str:
    """The practice text or a file of it with names that no sentence of ours could hold by chance."""
    for old, new in STRANGE.items():
        text = text.replace(old, new)
    return text


@pytest.fixture(scope="module")
def shift(tmp_path_factory):
    """The practice shift with one scan cut short, so that one is set aside, under strange names."""
    raw = [(name, renamed(data.decode()).encode()) for name, data in files()]
    name, data = raw[3]
    raw[3] = (name, b"\n".join(data.split(b"\n")[:70]) + b"\n")
    folder = begun(tmp_path_factory.mktemp("shift") / "strange", raw, renamed(made().experiment_text))
    with folder:
        log = made().logs[0]
        given = Given(log.name, log.data[: len(log.data) // 4])
        pressure_log(folder, steady_desk(), Who("host"), given, from_start=True)
        for level, edge in ((5, "Al K"), (3, "K L"), (6, None)):
            claim(folder, steady_desk(), Who("student"), Said("so it is", level, edge=edge))
        yield Session(folder)


@pytest.fixture(scope="module")
def every(shift):
    """Every answer that can be asked of the shift, each edge alone and two scans compared too."""
    edges = list(shift.known().scans)
    found = [*answer(shift, "trust"), *answer(shift, "real"), *answer(shift, "trust", compare=("1", "2"))]
    found += [*answer(shift, "here", against="Al"), *answer(shift, "here", "Al K")]
    found += answer(shift, "trust", compare=("scan-001", "scan-020"))
    found += [*answer(shift, "begin"), *answer(shift, "minutes", left=200.0), *answer(shift, "minutes")]
    found += answer(shift, "say")
    for edge in edges:
        found += [*answer(shift, "trust", edge), *answer(shift, "real", edge)]
    return found


def naming(shift) -> Naming:
    return open_naming(shift.known().experiment)


def said(found) -> list[str]:
    """Every text of an answer that a person reads or hears, before names are put in."""
    told = [found.sentence, *(fact.what for fact in found.because), *found.would_change_it, *found.cautions]
    told += [text for card in found.detail.get("cards", ()) for text in (card["title"], card["settles"])]
    told += [r["sentence"] for s in found.detail.get("scans", {}).values() for r in s["reasons"]]
    return told


def test_the_shift_shows_what_the_contract_is_about(every):
    assert {a.verdict for a in every} >= {"units", "some-set-aside"}
    assert any("autopsy" in a.detail for a in every)
    assert {(a.question, a.verdict) for a in every} >= {("begin", "not-yet"), ("minutes", "cards")}


def test_no_name_of_arm_unit_or_specimen_is_finished_inside_a_sentence(every):
    for found in every:
        for text in said(found):
            bare = TOKEN.sub("", text)
            assert not re.search("quokka|wombat|banksia|waratah", bare, re.IGNORECASE), text
            assert "{" not in bare and "}" not in bare, text


def test_arms_really_are_spoken_of(every):
    tokens = {m[0] for found in every for text in said(found) for m in TOKEN.finditer(text)}
    assert {"{arm:quokka}", "{arm:wombat}"} <= tokens
    assert any(token.startswith("{scan:") for token in tokens)


def test_no_scan_is_called_by_its_key_or_file_inside_a_sentence(every):
    for found in every:
        for text in said(found):
            assert not re.search(r"scan-\d|\.dat", TOKEN.sub("", text)), text


def test_json_and_text_hold_names_and_no_token(shift, every):
    for told in (as_json(every, naming(shift)), as_text(every, naming(shift))):
        assert not TOKEN.search(told)
        assert "the banksias" in told and "the waratahs" in told
    assert not re.search(r"\{[a-z]+:", as_text(every, naming(shift)))


def test_another_naming_changes_every_sentence(shift, every):
    """The curtain: what is read aloud then holds no name of the group's own."""
    specimens = {
        ("specimen", s.name): f"specimen {n}" for n, s in enumerate(shift.known().experiment.specimens)
    }
    hidden = Naming({("arm", "quokka"): "P", ("arm", "wombat"): "Q", **specimens})
    for found in json.loads(as_json(every, hidden)):
        told = [
            found["sentence"],
            *(f["what"] for f in found["because"]),
            *found["cautions"],
            *found["would_change_it"],
        ]
        assert not re.search("quokka|wombat|banksia|waratah", " ".join(told), re.IGNORECASE)


def check_fact(fact: dict) -> None:
    assert set(fact) == FACT
    assert re.fullmatch(r"[a-z0-9-]+", fact["code"])
    assert fact["what"]
    assert fact["unit"] is None or fact["value"] is not None
    assert fact["uncertainty"] is None or fact["uncertainty"] >= 0
    for kind, key in fact["evidence"]:
        assert kind in ("arm", "unit", "specimen", "spot", "scan", "edge") and key


def check_real(found: dict) -> None:
    detail = found["detail"]
    if found["edge"] is None:
        assert [set(line) for line in detail["edges"]] == [
            {"edge", "treated", "verdict", "rungs", "role", "declared"}
        ] * len(detail["edges"])
        return
    assert list(detail["rungs"]) == RUNGS
    assert set(detail["rungs"].values()) <= STATES
    if "would_have_shown" not in detail:
        assert set(detail["rungs"].values()) == {"cannot-test"}
        return
    assert set(detail["would_have_shown"]) == {r for r in RUNGS if detail["rungs"][r] == "not-shown"}
    assert all(size is None or size > 0 for size in detail["would_have_shown"].values())
    assert set(detail["rung_words"]) == {r for r in RUNGS if detail["rungs"][r] == "cannot-test"}
    assert detail["declared"] in ("before", "after")
    assert "feature" in detail
    if detail["rungs"]["units"] == "cannot-test":
        assert detail["chance"] is None
    lit = [r for r in RUNGS if detail["rungs"][r] == "lit"]
    assert found["verdict"] in (*lit[-1:], "no-change") or not lit
    check_curves(detail["curves"])


def check_curves(curves: dict) -> None:
    points = len(curves["energy_ev"])
    assert all(low < high for low, high in pairwise(curves["energy_ev"]))
    for name in ("control", "treated", "difference"):
        assert set(curves[name]) == {"value", "low", "high"}
        assert {len(each) for each in curves[name].values()} == {points}
    if curves["shape"] is not None:
        assert set(curves["shape"]) == {"value", "low", "high"}
        assert {len(each) for each in curves["shape"].values()} == {points}
    assert set(curves["passed"]) == set(curves["beyond"]) <= {"full", "shape"}
    assert curves["judged"] or not curves["passed"]
    for left in curves["beyond"].values():
        assert left["stretches"] and all(first <= last for first, last in left["stretches"])
        assert any(first <= left["farthest_ev"] <= last for first, last in left["stretches"])


def check_trust(found: dict) -> None:
    detail = found["detail"]
    if "autopsy" in detail:
        assert [part["code"] for part in detail["autopsy"]["parts"]] == [
            "gain", "offset", "slope", "slide", "blur", "left",
        ]  # fmt: skip
        return
    if not detail:  # two scans that cannot be compared
        assert found["verdict"] == "cannot-tell"
        return
    aside = 0
    for scan in detail["scans"].values():
        assert scan["verdict"] in SCAN_VERDICTS
        assert scan["verdict"] == "keep" or scan["reasons"]
        assert all(set(r) == {"code", "sentence"} and r["code"] in REASONS for r in scan["reasons"])
        aside += scan["verdict"] == "set-aside" and not scan.get("copy_of")
    if detail["scans"]:
        assert found["verdict"] == ("some-set-aside" if aside else "all-kept")
    for mark in detail.get("trace", {}).get("flags", ()):
        assert mark["code"] in BY_CODE


def check_here(found: dict) -> None:
    """Elements, or shares where these are asked for."""
    for told in found["detail"].get("elements", {}).values():
        assert told["verdict"] in ("seen", "not-seen", "cannot-tell") and told["reason"] in HERE
        assert (told["limit"] is not None) == (told["verdict"] == "not-seen")
        assert told["limit"] is None or 0 < told["limit"] <= 1
        assert all(each["source"] for each in told["tables_ev"])
        for suspect in told["impostors"]:
            assert suspect["status"] in ("excluded", "beside", "not-yet") and suspect["reason"] in WHY
            assert suspect["name"] and suspect["why"]
    if "elements" in found["detail"]:
        asked = [told for told in found["detail"]["elements"].values() if told["asked"]]
        settled = [told["verdict"] != "cannot-tell" for told in asked]
        whole = all(settled) and not any(told["doubted_in"] for told in asked)
        assert found["verdict"] == ("answered" if whole else "partly" if any(settled) else "cannot-tell")
    for spot in found["detail"].get("amounts", {}).get("spots", ()):
        assert 0 < spot["low"] < spot["value"] < spot["high"]
    for share in found["detail"].get("shares", {}).values():
        assert 0 <= share["low"] <= share["value"] <= share["high"] <= 1
        assert 0 <= share["limit"] <= 1 and share["formal"]["half"] >= 0
    for one in found["detail"].get("sets", ()):
        assert set(one["references"]) <= set(found["detail"]["shares"])


def check_begin(found: dict) -> None:
    detail = found["detail"]
    assert set(detail["minutes"]) == {"value", "low", "high"} and detail["interval"] == 0.8
    assert detail["cause"] in (None, "normal", "wet", "normal-or-wet", "polymer", "leak", "virtual-leak")
    low, value, high = (detail["minutes"][name] for name in ("low", "value", "high"))
    if found["verdict"] == "not-yet":
        assert detail["cause"] and 0 <= low <= value and (high is None or value <= high)
        lengths = {len(row) for row in detail["fan"].values()}
        assert len(lengths) == 1 and lengths.pop() > 10
    assert found["cautions"][0] == "Follow your facility's and beamline's rules; staff decide."


def check_minutes(found: dict) -> None:
    cards = found["detail"]["cards"]
    assert (found["verdict"] == "cards") == bool(cards)
    for card in cards:
        assert {"title", "minutes", "settles", "cannot_fix", "predicted_ratio"} <= set(card)
        assert card["minutes"] >= 0 and (card["predicted_ratio"] is None or 0 < card["predicted_ratio"] <= 1)
        for text in (card["title"], card["settles"], card["cannot_fix"]):
            assert 0 < len(text.split()) <= 20
    if cards:
        assert 2 <= len(cards) <= 5
        assert {"first-again", "write"} <= {card["code"] for card in cards}


def check_say(found: dict) -> None:
    detail = found["detail"]
    if "claim" not in detail:
        assert found["verdict"] == "cannot-tell"
        return
    assert detail["asked"] in range(7) and detail["carried"] in (None, *range(7))
    carried = -1 if detail["carried"] is None else detail["carried"]
    assert (found["verdict"] == "carried") == (carried >= detail["asked"]) == (not detail["missing"])
    assert [one["level"] for one in detail["levels"]] == list(range(7))
    for one in detail["missing"]:
        assert one["code"] and one["what"] and one["act"] and one["state"] in ("not-met", "cannot-tell")
        assert len(one["act"].split()) <= 20
    if detail["survives"] is not None:
        kinds = detail["survives"]["kinds"].values()
        for count in (detail["survives"], *kinds):
            assert 0 <= count["kept"] <= count["tried"]
        assert sum(count["tried"] for count in kinds) == detail["survives"]["tried"]


CHECKS = {
    "begin": check_begin,
    "here": check_here,
    "trust": check_trust,
    "real": check_real,
    "minutes": check_minutes,
    "say": check_say,
}


def check(answers: list) -> None:
    """The JSON of answers as the design states it."""
    text = as_json(answers)
    told = json.loads(text, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    assert isinstance(told, list) and len(told) == len(answers)
    for found in told:
        assert set(found) == KEYS
        assert found["verdict"] in VERDICTS[found["question"]]
        assert 0 < len(found["sentence"].split()) <= 20
        assert re.fullmatch("[0-9a-f]{64}", found["identity"])
        for fact in found["because"]:
            check_fact(fact)
        CHECKS[found["question"]](found)


def test_the_json_of_a_practice_shift_holds_to_the_schema(every):
    check(every)


def test_the_json_of_open_glasses_holds_to_the_schema(tmp_path, open_data):
    raw = [
        (f"GLASS{number}_{spot}.dat", path.read_bytes())
        for number, stem in ((1, "PyNa1200"), (2, "PyNa17R"))
        for spot, path in enumerate(sorted((open_data / "redox_glass_raw").glob(f"{stem}*")))
    ]
    assert len(raw) == 5
    desk = steady_desk()
    with ExperimentFolder.create(tmp_path / "glass", GLASS, desk.now()) as folder:
        taken = take(folder, raw, desk)
        assert {one.outcome for one in taken} <= {"taken", "duplicate"}, taken
        session = Session(folder)
        found = [
            *answer(session, "trust"),
            *answer(session, "real"),
            *answer(session, "trust", compare=("1", "2")),
        ]
    check(found)
    glass = next(a for a in found if a.question == "real" and a.edge)
    assert glass.detail["rungs"]["units"] == "cannot-test"


def test_the_json_of_shares_holds_to_the_schema(tmp_path):
    with ExperimentFolder.create(tmp_path / "iron", invented_iron.TEXT, "2026-03-01T08:00:00.000Z") as folder:
        take(folder, invented_iron.shift_files(), steady_desk())
        check(answer(Session(folder), "here", "Fe L", shares=True))


def test_the_check_would_notice(every):
    real = next(a for a in every if a.question == "real" and a.edge)
    for broken in (
        replace(real, identity="12"),
        replace(real, sentence="word " * 21),
        replace(real, detail={**real.detail, "rungs": {**real.detail["rungs"], "units": "maybe"}}),
        replace(real, detail={**real.detail, "declared": "later"}),
    ):
        with pytest.raises(AssertionError, match="assert"):
            check([broken])


def test_what_is_no_number_is_null_in_json(every):
    odd = replace(every[0], detail={"a": math.nan, "b": [math.inf, 1.0], "c": {"d": -math.inf}})
    (found,) = json.loads(as_json([odd]))
    assert found["detail"] == {"a": None, "b": [None, 1.0], "c": {"d": None}}


def test_the_identity_tells_apart_what_differs(every):
    """Edge by edge and question by question; the same question of the same shift keeps it."""
    by_edge = {a.edge: a.identity for a in every if a.question == "real"}
    assert len(set(by_edge.values())) == len(by_edge)
