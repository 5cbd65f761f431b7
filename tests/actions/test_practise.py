"""A practice shift goes the way of every other shift."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from practised import made, result_bytes

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.practise import practice_scenario, practise
from edgeshift.actions.session import Session
from edgeshift.errors import FolderRefused
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
        asked = [*answer(session, "trust"), *answer(session, "real")]
    assert list(done.answers) == asked
    assert {a["identity"] for a in json.loads(result_bytes(done.path)["real.json"])} <= {
        a.identity for a in asked
    }


def test_the_folder_tells_nobody_the_truth(practised):
    done, _ = practised
    kept = {p.name for p in done.path.iterdir()}
    assert kept <= {"experiment.yaml", "book.sqlite", "book.sqlite-wal", "book.sqlite-shm", "raw", "results"}
    with ExperimentFolder.open(done.path) as folder:
        assert {event.kind for event in folder.events()} == {"experiment", "arrival", "look"}


def test_the_truth_is_handed_back_for_scoring(practised):
    done, _ = practised
    assert set(done.truth.edges) == set(practice_scenario().edges)


def test_without_a_place_the_first_free_name_beside_us_is_taken(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("riverbank").mkdir()
    assert practise(None, 1, desk=steady_desk()).path == Path("riverbank-2")


def test_a_place_in_use_is_refused_and_left_alone(practised, tmp_path):
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    for place, found in ((practised[0].path, "an experiment"), (tmp_path, "'mine.txt' in it")):
        with pytest.raises(FolderRefused, match=f"needed a new or empty folder, found {found}"):
            practise(place, 3, desk=steady_desk())
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]
