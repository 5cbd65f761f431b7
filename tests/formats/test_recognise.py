"""The one door: every format is found by its bytes, not by its name."""

from __future__ import annotations

import subprocess
import sys

import pytest
from raw_files import SEEDS

from edgeshift.errors import UnreadableFile
from edgeshift.formats import recognise


@pytest.mark.parametrize(
    ("seed", "found"),
    [
        ("clay.dat", "text"),
        ("clay.xdi", "xdi"),
        ("clay.msa", "emsa"),
        ("clay.h5", "nexus"),
        ("clay.csv", "text"),
    ],
)
def test_bytes_say_which_reader_reads(seed: str, found: str) -> None:
    assert {table.format for table in recognise.tables("no-extension", SEEDS[seed])} == {found}


def test_an_empty_file_is_refused() -> None:
    with pytest.raises(UnreadableFile, match=r"clay.dat: needed a table of numbers, found an empty file\."):
        recognise.tables("clay.dat", b"")


def test_a_huge_file_is_refused_unread(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recognise, "MOST_BYTES", 1024 * 1024)
    with pytest.raises(UnreadableFile, match="needed at most 1 MB, found 2 MB"):
        recognise.tables("clay.dat", b"1 2\n" * 2**19)


def test_bytes_that_no_reader_claims_are_refused() -> None:
    with pytest.raises(UnreadableFile, match="binary bytes of another kind"):
        recognise.tables("photo.png", b"\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR")


def test_reading_text_does_not_load_the_library_for_nexus() -> None:
    program = (
        "import sys; from edgeshift.formats import recognise;"
        "recognise.tables('clay.dat', b'700 1\\n701 2\\n'); print('h5py' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
