"""Writing so that a power cut or a kill leaves either the old file or the new one, never half of it."""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from edgeshift.errors import FolderRefused

INCOMING = ".incoming-"
"""How the name of an unfinished file begins; such a file is never read."""

_FULL = {errno.ENOSPC, errno.EFBIG, errno.EDQUOT}
_LOCKED = {errno.EROFS, errno.EACCES, errno.EPERM}


def write_durably(path: Path, data: bytes, read_only: bool = False) -> None:
    """Put `data` at `path`: a temporary file beside it, flushed to the disk, then moved into place.

    Raises FolderRefused where the disk is full, locked or gone; then nothing at `path` has changed.
    """
    with kind_about_disk(path):
        handle, temporary = tempfile.mkstemp(prefix=INCOMING, dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(temporary, 0o444 if read_only else 0o644)
            os.replace(temporary, path)
        except BaseException:
            with suppress(OSError):
                os.unlink(temporary)
            raise
        flush_folder(path.parent)


def flush_folder(folder: Path) -> None:
    """Make the names in `folder` survive a power cut, where the system allows to ask for it."""
    with suppress(OSError):  # some systems and shares cannot flush a folder; the file itself is flushed
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def kind_about_disk(path: Path) -> Iterator[None]:
    """Turn what the system says about a disk into a refusal that a person can act on."""
    try:
        yield
    except OSError as trouble:
        raise _refusal(path, trouble) from trouble


def _refusal(path: Path, trouble: OSError) -> FolderRefused:
    if trouble.errno in _FULL:
        return disk_full(path)
    if trouble.errno in _LOCKED:
        return locked(path)
    found = trouble.strerror or type(trouble).__name__
    return FolderRefused(str(path), "a disk that answers", found, "Check the disk, then do the same again.")


def disk_full(path: Path) -> FolderRefused:
    """The refusal for a disk with no room left."""
    return FolderRefused(
        str(path),
        "room on the disk",
        "none left",
        "Free some room and do it again: nothing already taken is lost.",
    )


def locked(path: Path) -> FolderRefused:
    """The refusal for a place that we may read and not write."""
    return FolderRefused(
        str(path), "a folder we may write to", "a locked one", "Copy the experiment to a disk you may write."
    )
