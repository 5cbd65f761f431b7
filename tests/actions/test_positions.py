"""A scan across a specimen enters the book as numbers."""

import pytest

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.new import new
from edgeshift.actions.note import Who
from edgeshift.actions.positions import position
from edgeshift.errors import NoteRefused, UnreadableFile
from edgeshift.records.shift_state import replay

HOST = Who("host")
TEXT = "specimens: [{name: A-raw, kind: blank}]\n"
SCAN = ("x.csv", b"mm,signal\n0,1\n1,2\n2,nan\n3,4\n")


@pytest.fixture
def folder(tmp_path):
    with new(tmp_path / "shift", TEXT, steady_desk()) as folder:
        yield folder


def test_the_last_scan_of_a_specimen_counts_without_cells_that_are_none(folder):
    position(folder, steady_desk(), HOST, "A-raw", SCAN, 1.0)
    event = position(folder, steady_desk(), HOST, "A-raw", SCAN, 2.5, phosphor_mm=1.0)
    assert event.payload["mm"] == [0.0, 1.0, 3.0] and event.payload["signal"] == [1.0, 2.0, 4.0]
    assert replay(folder.events()).positions == {"A-raw": event}


@pytest.mark.parametrize(
    ("specimen", "at", "proud", "words"),
    [
        ("B", 1.0, 0.0, "needed one of the experiment text, found 'B'; known are A-raw"),
        ("A-raw", float("nan"), 0.0, "the position: needed mm, and a phosphor at most 20 mm proud"),
        ("A-raw", 1.0, 50.0, "found 1 and 50"),
    ],
)
def test_what_is_no_position_is_refused(folder, specimen, at, proud, words):
    with pytest.raises(NoteRefused, match=words):
        position(folder, steady_desk(), HOST, specimen, SCAN, at, proud)


def test_a_file_that_is_no_table_is_refused(folder):
    with pytest.raises(UnreadableFile, match="needed at least two columns of numbers"):
        position(folder, steady_desk(), HOST, "A-raw", ("x.csv", b"hello\nworld\n"), 1.0)
