"""A practice shift from nothing to answers: the same bytes everywhere, a person's word over the tool's."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from practised import asked_again, begun, files, judged, made, result_bytes

from edgeshift.actions import note
from edgeshift.actions.ask import answer, ask
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.practise import How, practise
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder

HOST = Who("host", "the sample slipped")


def edgeshift(*words: object, **more) -> subprocess.CompletedProcess:
    command = [sys.executable, "-m", "edgeshift.cli", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False, **more)


@pytest.fixture(scope="module")
def shift(tmp_path_factory) -> Path:
    """A practice shift made by the command in a process of its own; nobody may change it."""
    place = tmp_path_factory.mktemp("shift") / "riverbank"
    run = edgeshift("practice", place, "--seed", 3)
    assert run.returncode == 0, run.stderr
    return place


@pytest.fixture
def copy(shift, tmp_path) -> Path:
    """A copy of that shift which a test may change."""
    return Path(shutil.copytree(shift, tmp_path / "elsewhere" / "copied"))


@pytest.fixture
def aluminium(tmp_path):
    """The Al K scans alone in an open folder, taken a minute apart."""
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), desk=desk) as folder:
        yield folder, desk


def verdict_of(session: Session, scan: str) -> str:
    (found,) = answer(session, "trust")
    return next(s["verdict"] for s in found.detail["scans"].values() if s["scan"] == scan)


def test_the_readmes_main_job_needs_no_argument(tmp_path):
    run = edgeshift("practice", cwd=tmp_path)
    assert run.returncode == 0
    assert "46 invented files stand in riverbank/raw" in run.stdout
    assert "Al K: " in run.stdout and "Pictures: riverbank/results" in run.stdout
    assert (tmp_path / "riverbank" / "results" / "real.json").is_file()


def test_results_that_were_deleted_come_back_to_the_byte(copy):
    first = result_bytes(copy)
    kinds = {Path(name).suffix for name in first}
    assert kinds == {".json", ".svg", ".xdi"}
    assert asked_again(copy, lambda place: shutil.rmtree(place / "results")) == first


def test_a_copied_folder_answers_with_the_same_bytes(shift, copy):
    shutil.rmtree(copy / "results")
    for question in ("trust", "real"):
        assert edgeshift("ask", question, copy).returncode == 0
    assert result_bytes(copy) == result_bytes(shift)


def test_hash_order_and_threads_change_no_byte(copy):
    first = result_bytes(copy)
    shutil.rmtree(copy / "results")
    other = {**os.environ, "PYTHONHASHSEED": "77", "OPENBLAS_NUM_THREADS": "2", "TZ": "Asia/Tokyo"}
    for question in ("trust", "real"):
        assert edgeshift("ask", question, copy, env=other).returncode == 0
    assert result_bytes(copy) == first


def test_the_same_seed_gives_the_same_raw_files_and_results(shift, tmp_path):
    again = tmp_path / "again"
    assert edgeshift("practice", again, "--seed", 3).returncode == 0
    assert result_bytes(again) == result_bytes(shift)
    raw = {p.name: p.read_bytes() for p in (shift / "raw").iterdir()}
    assert {p.name: p.read_bytes() for p in (again / "raw").iterdir()} == raw


def test_another_seed_is_another_shift(shift, tmp_path):
    other = edgeshift("practice", tmp_path / "other", "--seed", 4, "--json")
    mine = json.loads((shift / "results" / "real.json").read_bytes())
    identities = {a["identity"] for a in json.loads(other.stdout)}
    assert identities.isdisjoint(a["identity"] for a in mine)


def test_a_scan_set_aside_by_a_person_changes_answer_and_identity_and_undo_brings_both_back(aluminium):
    folder, desk = aluminium
    session = Session(folder)
    trusted, before = answer(session, "trust"), answer(session, "real", "Al K")
    note.judge(folder, desk, HOST, "1", "set-aside")
    changed = answer(session, "real", "Al K")
    assert verdict_of(session, "scan-001") == "set-aside"
    assert changed[0].identity != before[0].identity
    assert changed[0].detail["feature"] != before[0].detail["feature"]
    assert "scan-001" not in {k for d in changed[0].detail["dots"] for s in d["spots"] for k in s["keys"]}
    note.judge(folder, desk, HOST, "1", "undo")
    back = answer(session, "real", "Al K")
    assert (back[0].verdict, back[0].sentence, back[0].detail) == (
        before[0].verdict,
        before[0].sentence,
        before[0].detail,
    )
    assert answer(session, "trust")[0].detail == trusted[0].detail


def test_what_a_person_said_stands_beside_what_the_tool_said(aluminium):
    folder, desk = aluminium
    own = verdict_of(Session(folder), "scan-002")
    note.judge(folder, desk, Who("student", "it looks odd"), "2", "set-aside")
    (found,) = answer(Session(folder), "trust")
    judged = next(s for s in found.detail["scans"].values() if s["scan"] == "scan-002")
    assert (judged["by"], judged["tool"]) == ("student", own)
    assert own != "set-aside"
    assert judged["reasons"][0] == {"code": "judged", "sentence": "it looks odd"}


def test_a_judgement_deletes_and_hides_nothing(aluminium):
    folder, desk = aluminium
    raw = {p.name: p.read_bytes() for p in (folder.path / "raw").iterdir()}
    events = folder.events()
    for scan in ("1", "2", "3"):
        note.judge(folder, desk, HOST, scan, "set-aside")
    note.judge(folder, desk, HOST, "1", "undo")
    (found,) = answer(Session(folder), "trust")
    assert len(found.detail["scans"]) == len(raw) == 18
    assert {p.name: p.read_bytes() for p in (folder.path / "raw").iterdir()} == raw
    assert folder.events()[: len(events)] == events


def test_a_note_makes_stale_results_new_and_the_old_ones_come_back_with_undo(copy):
    first = result_bytes(copy)
    words = ("note", copy, "judge", "1", "--reason", "it slipped")
    assert edgeshift(*words[:4], "set-aside", *words[4:]).returncode == 0
    changed = asked_again(copy)
    assert changed["real.json"] != first["real.json"]
    assert edgeshift(*words[:4], "undo", *words[4:]).returncode == 0
    back = asked_again(copy)
    pictures = [name for name in first if name.endswith((".svg", ".xdi"))]
    assert all(back[name] == first[name] for name in pictures)


def test_rewinding_gives_what_a_shift_that_stopped_then_said(tmp_path):
    """Both were asked after ten scans, when two pairs were complete; one then went on."""
    text, desk = made().experiment_text, steady_desk()
    with (
        begun(tmp_path / "whole", files("AlK")[:10], desk=desk) as whole,
        begun(tmp_path / "half", files("AlK")[:10]) as half,
    ):
        session = Session(whole, desk)
        answer(session, "real")
        look = whole.events()[-1]
        assert (look.kind, look.payload["units"]) == ("look", 2)
        take(whole, files("AlK")[10:], desk)
        note.judge(whole, desk, HOST, "1", "set-aside")
        (whole.path / "experiment.yaml").write_text(text + "# later\n", encoding="utf-8")
        desk.accept_hand_edit(whole)
        for question in ("trust", "real"):
            now = answer(session, question)
            then = answer(session, question, until=look.time)
            assert then == answer(Session(half), question)
            assert then != now == answer(session, question)


def test_before_the_first_scan_nothing_was_known(tmp_path):
    with begun(tmp_path / "shift", files("AlK")[:2]) as folder:
        (found,) = answer(Session(folder), "trust", until="2026-03-01T08:00:00Z")
    assert (found.verdict, found.detail["scans"]) == ("cannot-tell", {})


def test_a_file_that_came_twice_counts_once(aluminium):
    folder, desk = aluminium
    session = Session(folder)
    before = answer(session, "real", "Al K")
    name, data = files("AlK")[0]
    (again,) = take(folder, [(f"copy of {name}", data)], desk)
    assert again.outcome == "duplicate"
    assert "It counts once." in again.sentence
    assert answer(session, "real", "Al K") == before
    (trusted,) = answer(session, "trust")
    copies = [s for s in trusted.detail["scans"].values() if s.get("copy_of")]
    assert [c["copy_of"] for c in copies] == [name]
    assert trusted.sentence.startswith("All 18 scans kept")


def test_a_change_by_hand_enters_the_book_whole_and_is_used(copy):
    before = json.loads(edgeshift("ask", "real", copy, "--edge", "Al K", "--json").stdout)
    text = copy / "experiment.yaml"
    edited = text.read_text(encoding="utf-8").replace("words: pit-fired clay", "words: clay from the pit")
    text.write_text(edited, encoding="utf-8")
    (after,) = json.loads(edgeshift("ask", "real", copy, "--edge", "Al K", "--json").stdout)
    assert after["identity"] != before[0]["identity"]
    assert any("clay from the pit" in fact["what"] for fact in after["because"])
    with ExperimentFolder.open(copy) as folder:
        last = folder.events()[-1]
    assert (last.kind, last.role, last.payload["text"]) == ("experiment", "host", edited)
    assert last.reason


def test_a_change_by_hand_that_does_not_hold_keeps_the_last_text_and_says_so(copy):
    text = copy / "experiment.yaml"
    good = text.read_text(encoding="utf-8")
    before = ask(copy, "real", "Al K", desk=steady_desk())
    text.write_text(good.replace("unit: raw A}", "unit: raw Z}"), encoding="utf-8")
    run = edgeshift("ask", "real", copy, "--edge", "Al K", "--json")
    assert run.returncode == 0
    assert "names the unit 'raw Z', which is not defined" in run.stderr
    assert "the last accepted text stays in force" in run.stderr
    (after,) = json.loads(run.stdout)
    assert after["identity"] == before[0].identity
    assert "raw Z" in after["cautions"][0]
    assert text.read_text(encoding="utf-8") != good, "what a person typed is not thrown away"


def test_a_wide_survey_is_kept_and_not_said_to_charge(tmp_path):
    done = practise(tmp_path / "x", 650, desk=steady_desk(), how=How("riverbank-3", "none"))
    entry = judged(done)["0001_survey.dat"]
    assert entry["verdict"] == "keep-with-a-note"
    assert [reason["code"] for reason in entry["reasons"]] == ["doubt"]
