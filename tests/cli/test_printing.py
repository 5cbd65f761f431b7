"""What a person sees while something takes its time."""

import sys

import pytest

from edgeshift.cli.printing import counter, read_file
from edgeshift.errors import UnreadableFile


def test_the_count_goes_up_on_a_terminal(monkeypatch, capsys):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    tell = counter("files taken")
    tell(1, 2)
    tell(2, 2)
    assert capsys.readouterr().err == "\r1 of 2 files taken\r2 of 2 files taken\n"


def test_the_count_is_silent_where_nobody_watches(capsys):
    counter("files taken")(1, 2)
    assert capsys.readouterr().err == ""


def test_a_file_that_cannot_be_had_is_refused(tmp_path):
    with pytest.raises(UnreadableFile, match="clay.dat: needed a file that can be read, found No such file"):
        read_file(tmp_path / "clay.dat")
