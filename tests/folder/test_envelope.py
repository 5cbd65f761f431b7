"""Where an envelope lies, and a folder for as long as one is opened."""

from pathlib import Path

import pytest

from edgeshift.errors import EnvelopeRefused
from edgeshift.folder.envelope import laid_out, put_envelope
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event

TEXT = "question: more fire?\n"
BOOK = (Event(1, "2026-03-01T08:00:00Z", "experiment", "host", "begun", {"text": TEXT}),)


@pytest.fixture
def folder(tmp_path):
    with ExperimentFolder.create(tmp_path / "clay", TEXT, BOOK[0].time) as folder:
        yield folder


def test_the_last_envelope_replaces_the_one_before(folder):
    assert put_envelope(folder, b"one") == folder.path / "envelope" / "clay.zip"
    assert put_envelope(folder, b"two").read_bytes() == b"two"
    assert [one.name for one in (folder.path / "envelope").iterdir()] == ["clay.zip"]


def test_a_folder_with_an_envelope_can_still_be_begun_again(tmp_path):
    (tmp_path / "clay" / "envelope").mkdir(parents=True)
    ExperimentFolder.create(tmp_path / "clay", TEXT, BOOK[0].time).close()


def test_a_laid_out_folder_holds_the_parts_and_then_is_gone():
    with laid_out({"a.dat": b"1"}, TEXT, BOOK, "clay.zip") as there:
        place = Path(there.path)
        assert there.events() == BOOK and there.experiment_text() == TEXT
        assert (place / "raw" / "a.dat").read_bytes() == b"1"
        assert (place / "experiment.yaml").read_text("utf-8") == TEXT
    assert not place.exists()


@pytest.mark.parametrize("name", ["../out.dat", "a/b.dat", ".hidden", "c:x"])
def test_a_raw_file_is_never_laid_outside(name):
    with pytest.raises(EnvelopeRefused, match="clay.zip: needed raw files by plain names"):
        laid_out({name: b""}, TEXT, BOOK, "clay.zip").__enter__()


def test_a_book_with_a_line_missing_is_refused():
    late = (Event(2, "2026-03-01T08:00:00Z", "write", "host", "", {"text": "x"}),)
    with pytest.raises(EnvelopeRefused, match="needed every line of the book, found some are missing"):
        laid_out({}, TEXT, late, "clay.zip").__enter__()
