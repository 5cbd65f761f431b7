"""The book: what happened, line after line, in one SQLite file. Lines are added and never changed."""

from __future__ import annotations

import json
import shutil
import sqlite3
import tempfile
import threading
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from operator import attrgetter
from pathlib import Path

from edgeshift.errors import FolderRefused
from edgeshift.folder.durable import disk_full, kind_about_disk, locked
from edgeshift.folder.shares import on_network_share
from edgeshift.records.event import Event
from edgeshift.records.identity import canonical_json

APPLICATION = 0x45534654
"""Marks a SQLite file as a book of ours ("ESFT")."""

NEVER = "A line of the book is never changed or taken out. Add another one that corrects it."

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        "CREATE TABLE event (number INTEGER PRIMARY KEY, time TEXT NOT NULL, kind TEXT NOT NULL,"
        " role TEXT NOT NULL, reason TEXT NOT NULL, payload TEXT NOT NULL) STRICT",
        f"CREATE TRIGGER never_changed BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, '{NEVER}'); END",
        f"CREATE TRIGGER never_taken_out BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, '{NEVER}'); END",
        # INSERT OR REPLACE takes a line out without asking the trigger above
        "CREATE TRIGGER never_replaced BEFORE INSERT ON event WHEN NEW.number IS NOT NULL AND"
        " EXISTS (SELECT 1 FROM event WHERE number = NEW.number)"
        f" BEGIN SELECT RAISE(ABORT, '{NEVER}'); END",
        f"PRAGMA application_id = {APPLICATION}",
    ),
)
"""Each entry lifts the book by one version; the version stands in `user_version`."""

_number = attrgetter("number")

Decide = Callable[[tuple[Event, ...]], Iterable[Event]]


class Book:
    """An append-only book of events. Open it with `Book.create`, `Book.open` or `Book.read_only`."""

    def __init__(self, path: Path, connection: sqlite3.Connection, writable: bool) -> None:
        self.path, self._connection, self.writable = path, connection, writable
        # Lines never change, so each is fetched and read once; the lock keeps unfinished ones out of them.
        self._lines: tuple[Event, ...] = ()
        self._turn = threading.RLock()

    @classmethod
    def create(cls, path: Path) -> Book:
        """A new, empty book at `path`, or the one that is there."""
        return cls._opened(path, create=True)

    @classmethod
    def open(cls, path: Path) -> Book:
        """The book at `path`, lifted to this version where it is older. FolderRefused where not ours."""
        return cls._opened(path, create=False)

    @classmethod
    def read_only(cls, path: Path) -> Book:
        """The book as it stands on a medium that nobody can write, read from a copy in memory.

        The copy takes the write-ahead file with it, or lines that were acknowledged last would be missing.
        """
        with (
            tempfile.TemporaryDirectory(prefix="edgeshift-") as shelter,
            _plain_words(path),
            kind_about_disk(path),
        ):
            for name in (path.name, f"{path.name}-wal"):
                if path.with_name(name).exists():
                    shutil.copyfile(path.with_name(name), Path(shelter) / name)
            memory = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
            with closing(sqlite3.connect(Path(shelter) / path.name)) as copy:
                copy.backup(memory)
        book = cls(path, memory, writable=False)
        book._check_it_is_ours()
        return book

    @classmethod
    def _opened(cls, path: Path, create: bool) -> Book:
        if not create and not path.is_file():
            raise _not_ours(path)
        with _plain_words(path):
            connection = sqlite3.connect(path, isolation_level=None, timeout=10.0, check_same_thread=False)
            book = cls(path, connection, writable=True)
            try:
                if not create or book._holds_something():
                    book._check_it_is_ours()
                book._settle()
                book._lift()
            except BaseException:
                connection.close()
                raise
        return book

    def append(self, events: Iterable[Event]) -> tuple[int, ...]:
        """Add the events in one transaction, all or none; returns their numbers once they are on the disk."""
        waiting = tuple(events)
        return tuple(event.number for event in self.append_from(lambda _: waiting, after=self._last()))

    def append_from(self, decide: Decide, after: int = 0) -> tuple[Event, ...]:
        """Let `decide` see the lines after number `after` and add what it returns, in one transaction.

        Nobody else can write between the look and the line, so two takers cannot both be first. Returns
        the added events with their numbers. Where `decide` raises, nothing is added.
        """
        if not self.writable:
            raise locked(self.path)
        with self._turn, _plain_words(self.path), self._transaction():
            waiting = tuple(decide(self.read(after=after)))  # nothing is read once a line is unfinished
            return tuple(map(self._enter, waiting))

    def read(self, until_number: int | None = None, after: int = 0) -> tuple[Event, ...]:
        """The lines in order, from behind number `after` up to `until_number` (None: to the last)."""
        with self._turn:
            self._lines += self._fetched()
            lines = self._lines
        first = bisect_right(lines, after, key=_number)
        last = len(lines) if until_number is None else bisect_right(lines, until_number, key=_number)
        return lines[first:last]

    def _fetched(self) -> tuple[Event, ...]:
        """The lines behind those that are known."""
        known = self._lines[-1].number if self._lines else 0
        with _plain_words(self.path):
            rows = self._connection.execute(
                "SELECT number, time, kind, role, reason, payload FROM event"
                " WHERE number > ? ORDER BY number",
                (known,),
            ).fetchall()
        return tuple(Event(*row[:5], json.loads(row[5])) for row in rows)

    def whole(self) -> bool:
        """Whether SQLite finds the file in order from end to end."""
        with _plain_words(self.path):
            return self._connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"

    def close(self) -> None:
        """Close the file; on a local disk this folds the write-ahead file back into the book."""
        self._connection.close()

    def _holds_something(self) -> bool:
        return self._connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] > 0

    def _last(self) -> int:
        with _plain_words(self.path):
            return self._connection.execute("SELECT coalesce(max(number), 0) FROM event").fetchone()[0]

    def _enter(self, event: Event) -> Event:
        row = (event.time, event.kind, event.role, event.reason, canonical_json(event.payload))
        cursor = self._connection.execute(
            "INSERT INTO event (time, kind, role, reason, payload) VALUES (?, ?, ?, ?, ?)", row
        )
        return replace(event, number=cursor.lastrowid)

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._connection.execute("COMMIT")
        except BaseException:
            if self._connection.in_transaction:  # a full disk may have rolled back already
                self._connection.execute("ROLLBACK")
            raise

    def _settle(self) -> None:
        wanted = "DELETE" if on_network_share(self.path.parent) else "WAL"
        self._connection.execute(
            f"PRAGMA journal_mode = {wanted}"
        )  # where WAL cannot be, SQLite stays as it is
        self._connection.execute("PRAGMA synchronous = FULL")

    def _version(self) -> int:
        return self._connection.execute("PRAGMA user_version").fetchone()[0]

    def _lift(self) -> None:
        if self._version() == len(MIGRATIONS):
            return
        with self._transaction():
            for number in range(self._version(), len(MIGRATIONS)):
                for statement in MIGRATIONS[number]:
                    self._connection.execute(statement)
                self._connection.execute(f"PRAGMA user_version = {number + 1}")

    def _check_it_is_ours(self) -> None:
        with _plain_words(self.path):
            mark = self._connection.execute("PRAGMA application_id").fetchone()[0]
            version = self._version()
        if mark != APPLICATION:
            raise _not_ours(self.path)
        if version > len(MIGRATIONS):
            raise FolderRefused(
                str(self.path),
                f"a book of version {len(MIGRATIONS)} or older",
                f"version {version}",
                "Open it with the newer edgeshift that wrote it.",
            )


def _not_ours(path: Path) -> FolderRefused:
    return FolderRefused(
        str(path), "a book that edgeshift wrote", "something else", "Name the folder of an experiment."
    )


@contextmanager
def _plain_words(path: Path) -> Iterator[None]:
    """Turn what SQLite says into a refusal that a person can act on."""
    try:
        yield
    except sqlite3.Error as trouble:
        name = getattr(trouble, "sqlite_errorname", "") or ""
        raise _refusal(path, name, str(trouble)) from trouble


def _refusal(path: Path, name: str, words: str) -> FolderRefused:
    if name in ("SQLITE_FULL", "SQLITE_IOERR_WRITE", "SQLITE_IOERR_SHMSIZE"):
        return disk_full(path)
    if name.startswith("SQLITE_NOTADB"):
        return _not_ours(path)
    if name.startswith("SQLITE_BUSY"):
        return FolderRefused(
            str(path), "our turn to write", "another program writing", "Wait a moment, then do it again."
        )
    if words == NEVER:
        return FolderRefused(str(path), "lines that stay", "a line about to change", NEVER)
    return FolderRefused(
        str(path), "a book that can be used", words, "Check the disk; keep the folder as it is."
    )
