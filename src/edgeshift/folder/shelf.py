"""The shelf of standards on disk: one XDI file for each standard and edge, in a folder of the user's own."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from edgeshift.errors import FolderRefused
from edgeshift.folder.durable import kind_about_disk, write_durably
from edgeshift.folder.names import plain_name

PLACE = "EDGESHIFT_SHELF"
"""Environment variable that puts the shelf elsewhere."""


def shelf_folder(chosen: str | Path | None = None, environment: Mapping[str, str] = os.environ) -> Path:
    """Where the shelf stands: as chosen, as the environment says, else under the user's data folder."""
    if chosen:
        return Path(chosen)
    if environment.get(PLACE):
        return Path(environment[PLACE])
    data = environment.get("XDG_DATA_HOME") or Path.home() / ".local" / "share"
    return Path(data) / "edgeshift" / "shelf"


class Shelf:
    """The door to one shelf. A shelf that is not there yet is empty."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def files(self) -> tuple[str, ...]:
        """Names of all entries, sorted."""
        if not self.path.is_dir():
            return ()
        with kind_about_disk(self.path):
            return tuple(sorted(each.name for each in self.path.glob("*.xdi") if each.is_file()))

    def read(self, file: str) -> bytes:
        """The bytes of an entry. Raises FolderRefused where there is none."""
        path = self.path / plain_name(file)
        if not path.is_file():
            there = ", ".join(each.removesuffix(".xdi") for each in self.files()) or "an empty shelf"
            raise FolderRefused(
                f"the standard {file.removesuffix('.xdi')}",
                "an entry of the shelf",
                there,
                "Add it, or choose one.",
            )
        with kind_about_disk(path):
            return path.read_bytes()

    def write(self, file: str, data: bytes) -> Path:
        """Put an entry there, the old one gone only when the new one is whole."""
        path = self.path / plain_name(file)
        with kind_about_disk(path):
            self.path.mkdir(parents=True, exist_ok=True)
        write_durably(path, data)
        return path

    def has(self, file: str) -> bool:
        """Whether an entry of that name stands there."""
        return (self.path / plain_name(file)).is_file()
