"""A write is whole or not there, and trouble with the disk is said kindly."""

import errno
import os

import pytest

from edgeshift.errors import FolderRefused
from edgeshift.folder.durable import write_durably


def test_it_replaces_a_file_whole(tmp_path):
    path = tmp_path / "a.txt"
    write_durably(path, b"one")
    write_durably(path, b"two")
    assert path.read_bytes() == b"two"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_a_read_only_file_carries_no_bit_to_write(tmp_path):
    write_durably(tmp_path / "a.txt", b"one", read_only=True)
    assert (tmp_path / "a.txt").stat().st_mode & 0o222 == 0


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "found none left. Free some room"),
        (errno.EFBIG, "found none left. Free some room"),
        (errno.EROFS, "found a locked one. Copy the experiment"),
        (errno.EIO, "Check the disk, then do the same again"),
    ],
)
def test_trouble_is_refused_and_the_old_file_stays(tmp_path, monkeypatch, number, words):
    path = tmp_path / "a.txt"
    write_durably(path, b"one")

    def fail(handle):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(FolderRefused, match=words):
        write_durably(path, b"two")
    assert path.read_bytes() == b"one"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_a_folder_that_is_gone_is_refused(tmp_path):
    with pytest.raises(FolderRefused, match="needed a disk that answers, found No such file"):
        write_durably(tmp_path / "gone" / "a.txt", b"one")
