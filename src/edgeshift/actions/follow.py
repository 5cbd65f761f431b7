"""Follow a folder that fills: every finished file is taken, one that grows is shown as running."""

from __future__ import annotations

import threading
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from edgeshift.actions.room import Room
from edgeshift.actions.take import cannot_be_read
from edgeshift.errors import Refusal
from edgeshift.folder.watch import Running, Watch
from edgeshift.formats.recognise import tables
from edgeshift.recipe.beamline import BeamlineProfile

WAIT_S = 0.25
"""How long to wait for news before the book is read again for what others wrote."""


class Follower:
    """A thread that follows `directory` (None: only the book) for a room until it is stopped."""

    def __init__(self, room: Room, directory: str | Path | None, polled: bool | None = None) -> None:
        self.room = room
        self.watch = Watch(directory, polled) if directory is not None else None
        self._counted: dict[str, int] = {}
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._follow, name="follow", daemon=True)

    def start(self) -> None:
        """Begin to follow."""
        self._thread.start()

    def stop(self) -> None:
        """Stop; every file that was acknowledged is on the disk."""
        self._stop.set()
        self._thread.join()
        if self.watch:
            self.watch.close()

    def _follow(self) -> None:
        while not self._stop.is_set():
            self.step(WAIT_S)

    def step(self, wait_s: float) -> None:
        """One round: take what is finished, tell what runs, read what others wrote."""
        if self.watch is None:
            self._stop.wait(wait_s)
            self.room.refresh()
            return
        for path in self.watch.finished(wait_s):
            self._take(path)
        for running in self.watch.running:
            self._take_by_count(running)
        self.room.refresh(self.watch.running)

    def _take(self, path: Path) -> None:
        """Take a file that is finished, unless its own header says that points are missing.

        One that stays short is taken once the instrument has gone on to another scan: that one was stopped.
        """
        try:
            data = path.read_bytes()
        except OSError as trouble:
            self.room.refuse(path.name, str(cannot_be_read(path.name, trouble)))
            return
        said = points_said(path.name, data, self.room.known().experiment.beamline)
        if said and said.there < said.planned and not self._has_gone_on(path):
            self.watch.not_yet(path)
        else:
            self.room.take(path.name, data)

    def _has_gone_on(self, path: Path) -> bool:
        """Whether a file that was begun later is a scan too, as its header says; any other tells nothing."""
        profile = self.room.known().experiment.beamline
        for later in self.watch.begun_after(path):
            with suppress(OSError):
                if points_said(later.name, later.read_bytes(), profile):
                    return True
        return False

    def _take_by_count(self, running: Running) -> None:
        """Take a file that still stands open, but holds every point that its header announces."""
        profile = self.room.known().experiment.beamline
        if profile.points_key is None or self._counted.get(running.name) == running.size:
            return
        self._counted[running.name] = running.size
        path = self.watch.directory / running.name
        with suppress(OSError):
            data = path.read_bytes()
            said = points_said(path.name, data, profile)
            if said and said.there >= said.planned and data.endswith((b"\n", b"\r")):
                self.watch.told(running.name)
                self.room.take(path.name, data)


class Points(NamedTuple):
    """How many points a file holds, and how many its header announces."""

    there: int
    planned: int


def points_said(name: str, data: bytes, profile: BeamlineProfile) -> Points | None:
    """The points of a file whose header announces their number; None where it does not, or is no table."""
    if profile.points_key is None:
        return None
    try:
        table = tables(name, data)[0]
    except Refusal:
        return None
    said = table.header.get(profile.points_key.lower(), "").strip()
    return Points(len(table.columns[0].values), int(said)) if said.isdecimal() else None
