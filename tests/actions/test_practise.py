"""A practice shift goes the way of every other shift."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from practised import judged, made, result_bytes

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.practise import How, free_name, practice_scenario, practise
from edgeshift.actions.session import Session
from edgeshift.errors import FolderRefused, TextRefused
from edgeshift.folder.experiment_folder import ExperimentFolder


@pytest.fixture(scope="module")
def practised(tmp_path_factory):
    """A practice shift and what was told while it was taken."""
    told = []
    place = tmp_path_factory.mktemp("practice") / "riverbank"
    return practise(place, 3, desk=steady_desk(), tell=lambda *count: told.append(count)), told


def test_every_file_is_taken_and_told_of(practised):
    done, told = practised
    assert done.taken == len(made(3).files) == 46
    assert told == [(number, 46) for number in range(1, 47)]


def test_the_files_lie_there_as_the_instrument_wrote_them(practised):
    done, _ = practised
    assert {p.name: p.read_bytes() for p in (done.path / "raw").iterdir()} == {
        file.name: file.data for file in made(3).files
    }


def test_its_answers_are_those_of_the_folder(practised):
    done, _ = practised
    with ExperimentFolder.open(done.path) as folder:
        session = Session(folder)
        asked = [found for name in ("begin", "here", "trust", "real") for found in answer(session, name)]
    assert list(done.answers) == asked
    assert {a["identity"] for a in json.loads(result_bytes(done.path)["real.json"])} <= {
        a.identity for a in asked
    }


def test_the_folder_tells_nobody_the_truth(practised):
    done, _ = practised
    kept = {p.name for p in done.path.iterdir()} - {"book.sqlite-wal", "book.sqlite-shm"}
    assert kept == {"experiment.yaml", "book.sqlite", "raw", "results", "landing", "truth.sealed"}
    assert "fe3" not in (done.path / "truth.sealed").read_text("ascii")
    with ExperimentFolder.open(done.path) as folder:
        assert {event.kind for event in folder.events()} == {"experiment", "arrival", "look", "pressure"}


def test_the_truth_is_handed_back_for_scoring(practised):
    done, _ = practised
    assert set(done.truth.edges) == set(practice_scenario().edges)


def test_without_a_place_the_first_free_name_beside_us_is_taken(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("riverbank").mkdir()
    assert free_name("riverbank") == Path("riverbank-again-2")


def test_a_place_in_use_is_refused_and_left_alone(practised, tmp_path):
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    for place, found in ((practised[0].path, "an experiment"), (tmp_path, "'mine.txt' in it")):
        with pytest.raises(FolderRefused, match=f"needed a new or empty folder, found {found}"):
            practise(place, 3, desk=steady_desk())
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]


def test_files_land_at_the_pace_that_was_asked_for_and_the_gauge_is_not_taken(tmp_path):
    naps = []
    desk = replace(steady_desk(), sleep=naps.append)
    done = practise(tmp_path / "live", 2, desk=desk, how=How("linen", speed=60.0))
    landing = {p.name: p.read_bytes() for p in (done.path / "landing").iterdir()}
    raw = {p.name: p.read_bytes() for p in (done.path / "raw").iterdir()}
    assert landing.keys() - raw.keys() == {"pressure_load-1.txt"}
    assert raw.items() <= landing.items()
    assert 60 < sum(naps) < 120  # about 84 minutes of measuring at sixty times its pace, in seconds
    assert min(naps) >= 0


def test_planted_traps_land_like_everything_else(tmp_path):
    done = practise(tmp_path / "linen", 2, desk=steady_desk(), how=How("linen", traps="L2"))
    assert (done.path / "landing" / "linen_bare1_again.dat").is_file()
    assert judged(done)["linen_bare1_again.dat"]["copy_of"]


@pytest.mark.parametrize(
    ("how", "words"),
    [
        (How("moon"), "needed one of riverbank, riverbank-2, riverbank-3, linen, found 'moon'"),
        (How(traps="T1,T99"), "needed none, all, or some of T1, T2, T8, .*, found 'T99'"),
    ],
)
def test_a_practice_that_is_not_there_is_refused_before_anything_is_made(tmp_path, how, words):
    with pytest.raises(TextRefused, match=words):
        practise(tmp_path / "none", 1, desk=steady_desk(), how=how)
    assert not (tmp_path / "none").exists()
