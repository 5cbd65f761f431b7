"""What is written under results/: answers, pictures and spectra, and nothing that cannot be made again."""

from __future__ import annotations

import json
import re
import shutil

import numpy as np
import pytest
from practised import asked_again, begun, files, made, result_bytes

from edgeshift.actions import note
from edgeshift.actions.ask import answer, ask_all, drawn
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.results import write_all
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.formats import xdi
from edgeshift.records.flags import UNUSABLE
from edgeshift.wording.names import TOKEN


@pytest.fixture(scope="module")
def session(tmp_path_factory):
    """A session on Al K and Si K, with everything asked and written."""
    with begun(tmp_path_factory.mktemp("shift") / "clay", files("AlK") + files("SiK")) as folder:
        session = Session(folder)
        ask_all(session)
        yield session


def test_each_question_has_its_json_and_each_answer_its_picture(session):
    assert {name for name in result_bytes(session.folder.path) if "/" not in name} == {
        "here.json", "here-all-edges.svg", "trust.json", "trust-all-edges.svg", "real.json",
        "real-all-edges.svg", "real-Al_K-fired.svg", "real-Si_K-fired.svg",
    }  # fmt: skip


def test_the_names_that_were_written_are_told(session):
    asked = ("here", "trust", "real")
    found = drawn([one for question in asked for one in answer(session, question)])
    sets = session.edge_sets(session.known(), frozenset())
    names = write_all(session, found, sets)
    assert [name for name in names if "/" not in name] == [
        "here.json", "here-all-edges.svg", "trust.json", "trust-all-edges.svg",
        "real.json", "real-Al_K-fired.svg", "real-Si_K-fired.svg", "real-all-edges.svg",
    ]  # fmt: skip


def test_the_files_speak_in_the_groups_own_words(session):
    for name, data in result_bytes(session.folder.path).items():
        assert not TOKEN.search(data.decode()), name
    assert b"pit-fired clay" in result_bytes(session.folder.path)["real-Al_K-fired.svg"]


def test_the_json_is_what_was_answered(session):
    told = json.loads(result_bytes(session.folder.path)["real.json"])
    assert [(a["edge"], a["verdict"], a["identity"]) for a in told] == [
        (a.edge, a.verdict, a.identity) for a in answer(session, "real")
    ]


def test_there_is_one_spectrum_file_for_each_spot_and_it_reads_back(session):
    known = session.known()
    sets = session.edge_sets(known, frozenset())
    found = drawn([one for question in ("here", "trust", "real") for one in answer(session, question)])
    names = [name for name in write_all(session, found, sets) if "/" in name]
    spots = [spot for edge_set in sets.values() for spot in edge_set.spots]
    assert len(names) == len(set(names)) == len(spots)
    for name, spot in zip(names, spots, strict=True):
        (table,) = xdi.read(name, result_bytes(session.folder.path)[name])
        there = np.isfinite(spot.value) & np.isfinite(spot.sigma)
        for column, values in (("energy", spot.energy_ev), ("absorption", spot.value),
                               ("independent_sigma", spot.sigma), ("flags", spot.flags)):  # fmt: skip
            np.testing.assert_allclose(table.column(column).values, values[there], rtol=1e-6)
        assert np.isfinite(table.column("absorption").values).all()
        assert table.header["sample.name"] == spot.place.specimen


def test_a_spectrum_carries_its_scans_and_its_methods(session):
    sets = session.edge_sets(session.known(), frozenset())
    text = result_bytes(session.folder.path)["spectra/Al_K-RAW-A-s1.xdi"].decode()
    assert all(sentence in text for sentence in sets["Al K"].methods)
    assert re.search(r"scans: scan-001, scan-\d+", text)


def test_a_point_that_was_left_out_is_flagged_in_the_file(session):
    sets = session.edge_sets(session.known(), frozenset())
    assert any((spot.flags & UNUSABLE).any() for spot in sets["Al K"].spots), "the seed holds such a point"


def test_writing_again_touches_no_file(session):
    results = session.folder.path / "results"
    before = {p: p.stat().st_mtime_ns for p in results.rglob("*") if p.is_file()}
    ask_all(session)
    assert {p: p.stat().st_mtime_ns for p in results.rglob("*") if p.is_file()} == before


def test_a_folder_that_cannot_be_written_still_answers(session, tmp_path, monkeypatch):
    copy = shutil.copytree(session.folder.path, tmp_path / "locked")
    shutil.rmtree(copy / "results")
    monkeypatch.setattr("os.access", lambda *_: False)
    with ExperimentFolder.open(copy) as folder:
        assert not folder.writable
        found = ask_all(Session(folder))
    assert found == ask_all(session)
    assert not (copy / "results").exists()


def test_a_second_edge_leaves_no_picture_of_the_first_alone(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), desk=desk) as folder:
        ask_all(Session(folder))
        take(folder, files("SiK"), desk)
        ask_all(Session(folder))
    kept = result_bytes(tmp_path / "shift")
    assert asked_again(tmp_path / "shift", lambda place: shutil.rmtree(place / "results")) == kept


def test_a_spot_that_was_set_aside_leaves_no_spectrum_behind(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("SiK"), desk=desk) as folder:
        ask_all(Session(folder))
        note.judge(folder, desk, Who("host", "it slipped"), "1", "set-aside")
        ask_all(Session(folder))
    kept = result_bytes(tmp_path / "shift")
    assert asked_again(tmp_path / "shift", lambda place: shutil.rmtree(place / "results")) == kept


def test_names_that_no_disk_likes_become_plain(tmp_path):
    text = made().experiment_text.replace("RAW-A", "RAW A/1").replace("name: fired,", "name: 'a/../b',")
    text = text.replace("arm: fired,", "arm: 'a/../b',")
    raw = [(name, data.replace(b"RAW-A", b"RAW A/1")) for name, data in files("AlK")]
    with begun(tmp_path / "shift", raw, text) as folder:
        ask_all(Session(folder))
    names = result_bytes(tmp_path / "shift")
    assert "spectra/Al_K-RAW_A_1-s1.xdi" in names
    assert "real-Al_K-a_.._b.svg" in names


def test_two_spots_whose_names_become_alike_keep_a_file_each(tmp_path):
    raw = [
        (name, data.replace(b"RAW-A", b"RAW/A").replace(b"RAW-B", b"RAW A")) for name, data in files("SiK")
    ]
    text = made().experiment_text.replace("RAW-A", "RAW/A").replace("RAW-B", "RAW A")
    with begun(tmp_path / "shift", raw, text) as folder:
        ask_all(Session(folder))
    names = [name for name in result_bytes(tmp_path / "shift") if name.startswith("spectra/")]
    assert sorted(names) == sorted(
        f"spectra/Si_K-{name}.xdi" for name in ("RAW_A-s1", "RAW_A-s1~2", "PIT750-A-s1", "PIT750-B-s1")
    )
