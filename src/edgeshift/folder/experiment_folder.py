"""An experiment is a folder: a text that people edit, raw bytes, the book, and what can be made again."""

from __future__ import annotations

import os
import time as clock
from collections.abc import Callable, Iterable
from contextlib import closing, suppress
from pathlib import Path, PurePosixPath

from edgeshift.errors import FolderRefused, Refusal, TextRefused
from edgeshift.folder.book import Book, Decide
from edgeshift.folder.durable import INCOMING, flush_folder, kind_about_disk, write_durably
from edgeshift.folder.names import names_to_try, plain_name
from edgeshift.records.event import Event
from edgeshift.records.identity import sha256_of

TEXT, BOOK, RAW, RESULTS = "experiment.yaml", "book.sqlite", "raw", "results"
ENVELOPE = "envelope"
LANDING, SEAL, PLAN = "landing", "truth.sealed", "plan"
"""What a practice shift has beside the rest: where its files landed, its truth; and any shift: its sheets."""
OURS = frozenset(
    (
        TEXT,
        BOOK,
        f"{BOOK}-wal",
        f"{BOOK}-shm",
        f"{BOOK}-journal",
        RAW,
        RESULTS,
        ENVELOPE,
        LANDING,
        SEAL,
        PLAN,
    )
)
HOLD_BYTES = ("arrival", "standard")
"""Events that speak of bytes under `raw/`."""
LEFTOVER_S = 3600.0
"""An unfinished file of this age belongs to nobody any more."""

Check = Callable[[str, str], object]
"""Reads an experiment text under a file name; raises TextRefused where it does not hold."""


class ExperimentFolder:
    """The door to one experiment on disk. Everything else works on what comes through it."""

    def __init__(self, path: Path, book: Book) -> None:
        self.path, self.book = path, book
        self._stored: dict[str, str] = {}

    @classmethod
    def create(
        cls, path: str | Path, experiment_text: str, time: str, role: str = "host"
    ) -> ExperimentFolder:
        """A new experiment at `path`, its text accepted at `time`. FolderRefused where something is there.

        The caller has checked the text. A creation that was killed half-way can be done again.
        """
        path = Path(path)
        _refuse_what_is_there(path)
        with kind_about_disk(path):
            (path / RAW).mkdir(parents=True, exist_ok=True)
            flush_folder(path.parent)
        folder = cls(path, Book.create(path / BOOK))
        write_durably(path / TEXT, experiment_text.encode("utf-8"))
        folder.append([Event(0, time, "experiment", role, "begun", {"text": experiment_text})])
        return folder

    @classmethod
    def open(cls, path: str | Path) -> ExperimentFolder:
        """The experiment at `path`; on a locked disk it opens for reading only.

        Raises FolderRefused where there is none, it is not ours, or a newer edgeshift wrote it.
        """
        path = Path(path)
        if not (path / BOOK).is_file():
            found = "no such folder" if not path.exists() else "a place without a book"
            raise FolderRefused(
                str(path), "the folder of an experiment", found, f"Begin one with: edgeshift new {path}"
            )
        writable = os.access(path, os.W_OK) and os.access(path / BOOK, os.W_OK)
        folder = cls(path, Book.open(path / BOOK) if writable else Book.read_only(path / BOOK))
        if writable:
            folder._sweep()
        return folder

    @property
    def writable(self) -> bool:
        """Whether anything can be added."""
        return self.book.writable

    def close(self) -> None:
        """Close the book. Nothing waits to be written: every act is on the disk when it returns."""
        self.book.close()

    def __enter__(self) -> ExperimentFolder:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def events(self, until_number: int | None = None) -> tuple[Event, ...]:
        """What happened, in order."""
        return self.book.read(until_number)

    def append(self, events: Iterable[Event]) -> tuple[int, ...]:
        """Add events to the book, all or none; returns their numbers."""
        return self.book.append(events)

    def append_from(self, decide: Decide, after: int = 0) -> tuple[Event, ...]:
        """Add what `decide` makes of the lines after `after`, with nobody writing in between."""
        return self.book.append_from(decide, after)

    def keep_raw(self, name: str, data: bytes) -> str:
        """Keep a byte-for-byte copy under `raw/` and return the name it has there.

        The same bytes under the same name are kept once; other bytes get a name with `~2`, `~3` and so on.
        On return the bytes are on the disk, so that an event may speak of them.
        """
        for stored in names_to_try(plain_name(name)):
            target = self.path / RAW / stored
            with kind_about_disk(target):
                taken = target.exists()
                same = taken and target.read_bytes() == data
            if same:
                return stored
            if not taken:
                write_durably(target, data, read_only=True)
                return stored
        raise AssertionError("names_to_try never ends")

    def raw_bytes(self, sha256: str) -> bytes:
        """The bytes of an arrival, checked against their hash. FolderRefused where gone or changed."""
        if sha256 not in self._stored:
            arrivals = (event.payload for event in self.events() if event.kind in HOLD_BYTES)
            self._stored = {payload["sha256"]: payload["file"] for payload in arrivals}
        name = self._stored.get(sha256)
        if name is None:
            raise FolderRefused(
                str(self.path),
                f"raw bytes {sha256[:12]}",
                "no such arrival in the book",
                "Take the file again.",
            )
        path = self.path / RAW / name
        if not path.exists():
            raise FolderRefused(
                str(path), "the copy that was taken", "no such file", "Put it back under that name."
            )
        with kind_about_disk(path):
            data = path.read_bytes()
        if sha256_of(data) != sha256:
            raise FolderRefused(
                str(path),
                "the bytes that were taken",
                "other bytes",
                "Put the untouched copy back under that name.",
            )
        return data

    def write_result(self, relative: str, data: bytes) -> bool:
        """Put a derived file under `results/`; True where it changed. Everything there can be made again."""
        inside = PurePosixPath(relative)
        if inside.is_absolute() or ".." in inside.parts or not inside.parts:
            raise FolderRefused(relative, "a name inside results/", "one outside", "Choose another name.")
        target = self.path / RESULTS / inside
        with kind_about_disk(target):
            if target.is_file() and target.read_bytes() == data:
                return False
            target.parent.mkdir(parents=True, exist_ok=True)
        write_durably(target, data)
        return True

    def keep_results(self, names: Iterable[str]) -> None:
        """Clear away derived files that are not among `names`: they belong to an older state."""
        kept = {self.path / RESULTS / PurePosixPath(name) for name in names}
        for path in sorted((self.path / RESULTS).rglob("*"), reverse=True):
            with suppress(OSError):
                if path.is_dir():
                    path.rmdir()  # only where it is empty
                elif path not in kept:
                    path.unlink()

    def experiment_text(self) -> str:
        """The last accepted experiment text. A change by hand counts once `accept_hand_edit` has seen it."""
        return _last_text(self.events())

    def accept_hand_edit(self, time: str, check: Check, role: str = "host") -> Refusal | None:
        """Enter an `experiment.yaml` that was changed by hand into the book, whole.

        Returns None where all is well, and otherwise the refusal that says what does not hold (with file
        and line): the last accepted text then stays in force.
        """
        path = self.path / TEXT
        accepted = self.experiment_text()
        try:
            if not path.is_file():
                return self._put_text_back(path, accepted)
            with kind_about_disk(path):
                data = path.read_bytes()
            if data == accepted.encode("utf-8"):
                return None
            text = _decoded(data, path)
            check(text, TEXT)
            edit = Event(0, time, "experiment", role, "changed by hand", {"text": text})
            self.append_from(lambda events: [] if _last_text(events) == text else [edit])
        except Refusal as refusal:
            return refusal
        return None

    def change_text(self, decide: Decide) -> Event:
        """Enter the `experiment` event that `decide` makes, and put its text on the disk just before.

        Killed in between, the new text is entered as one changed by hand when the folder is next opened.
        Raises TextRefused where somebody has changed the text by hand and it is not accepted yet.
        """
        path = self.path / TEXT
        written: list[str] = []

        def put(events: tuple[Event, ...]) -> list[Event]:
            accepted = _last_text(events)
            (event,) = decide(events)
            with kind_about_disk(path):
                if path.is_file() and path.read_bytes() != accepted.encode("utf-8"):
                    act = "Look at it, then do this again."
                    raise TextRefused(TEXT, "the accepted text", "one just changed by hand", act)
            written.append(accepted)
            write_durably(path, event.payload["text"].encode("utf-8"))
            return [event]

        try:
            return self.append_from(put)[0]
        except BaseException:
            if written:
                with suppress(FolderRefused):
                    write_durably(path, written[0].encode("utf-8"))
            raise

    def _put_text_back(self, path: Path, accepted: str) -> Refusal:
        act = "The last accepted text stays in force."
        if self.writable:
            write_durably(path, accepted.encode("utf-8"))
            act = "The last accepted text was written back."
        return TextRefused(TEXT, "the experiment text", "no file", act)

    def _sweep(self) -> None:
        """Clear away files that a killed take never finished."""
        now = clock.time()
        for leftover in (self.path / RAW).glob(f"{INCOMING}*"):
            with suppress(OSError):
                if now - leftover.stat().st_mtime > LEFTOVER_S:
                    leftover.unlink()


def _last_text(events: Iterable[Event]) -> str:
    accepted = [event for event in events if event.kind == "experiment"]
    return accepted[-1].payload["text"] if accepted else ""


def _decoded(data: bytes, path: Path) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as trouble:
        line = data[: trouble.start].count(b"\n") + 1
        raise TextRefused(
            f"{path.name}:{line}", "text in UTF-8", "other bytes", "Save it as UTF-8 and try again."
        ) from None


def _refuse_what_is_there(path: Path) -> None:
    if not path.exists():
        return
    if not path.is_dir():
        raise FolderRefused(str(path), "a new folder", "a file of that name", "Choose another name.")
    with kind_about_disk(path):
        strangers = sorted(entry.name for entry in path.iterdir() if entry.name not in OURS)
    if strangers:
        raise FolderRefused(
            str(path), "a new or empty folder", f"{strangers[0]!r} in it", "Choose a name that is not in use."
        )
    if (path / BOOK).exists():
        with closing(Book.create(path / BOOK)) as book:
            begun = bool(book.read())
        if begun:
            raise FolderRefused(
                str(path),
                "a new or empty folder",
                "an experiment",
                "Use it as it is, or choose another name.",
            )
