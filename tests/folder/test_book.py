"""The book only grows, all or nothing, and says so in plain words."""

import shutil
import sqlite3
import threading
from pathlib import Path

import pytest

from edgeshift.errors import FolderRefused
from edgeshift.folder import book as book_module
from edgeshift.folder.book import APPLICATION, MIGRATIONS, Book
from edgeshift.records.event import Event

TIME = "2026-03-01T08:00:00.000Z"


def note(text: str) -> Event:
    return Event(0, TIME, "write", "student", "", {"text": text})


@pytest.fixture
def book(tmp_path):
    book = Book.create(tmp_path / "book.sqlite")
    yield book
    book.close()


def test_events_come_back_as_they_went_in_and_numbered(book):
    event = Event(0, TIME, "tie", "host", "Ton µ", {"shift_ev": 0.1, "scans": ["scan-001"], "edge": None})
    assert book.append([event, note("b")]) == (1, 2)
    first, second = book.read()
    assert (first.number, first.reason, dict(first.payload)) == (1, "Ton µ", event.payload)
    assert second.payload["text"] == "b"


def test_reading_stops_where_it_is_told(book):
    book.append([note(c) for c in "abc"])
    assert [e.number for e in book.read(until_number=2)] == [1, 2]
    assert [e.number for e in book.read(after=1)] == [2, 3]
    assert book.read(until_number=0) == ()


def test_lines_that_another_program_adds_are_seen(book):
    book.append([note("a")])
    assert len(book.read()) == 1
    other = Book.open(book.path)
    other.append([note("b")])
    other.close()
    assert [e.payload["text"] for e in book.read()] == ["a", "b"]
    assert [e.payload["text"] for e in book.read(after=1)] == ["b"]


def test_a_line_is_read_once(book, monkeypatch):
    book.append([note("a"), note("b")])
    first = book.read()
    monkeypatch.setattr(book_module.json, "loads", lambda _: pytest.fail("read again"))
    assert book.read() == first
    assert book.read()[1] is first[1]


def test_a_line_that_was_rolled_back_is_not_remembered(book):
    def looked_at_half_way(events):
        yield note("a")
        assert book.read() == ()
        raise RuntimeError("stopped")

    with pytest.raises(RuntimeError, match="stopped"):
        book.append_from(looked_at_half_way)
    assert book.append([note("b")]) == (1,)
    assert [e.payload["text"] for e in book.read()] == ["b"]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE event SET reason = 'other'",
        "DELETE FROM event",
        "INSERT OR REPLACE INTO event VALUES (1, 't', 'write', 'host', '', '{}')",
    ],
)
def test_a_line_is_never_changed_whatever_program_tries(book, statement):
    book.append([note("a")])
    with (
        sqlite3.connect(book.path) as other,
        pytest.raises(sqlite3.IntegrityError, match="never changed or taken out. Add another one"),
    ):
        other.execute(statement)
    other.close()
    assert [e.payload["text"] for e in book.read()] == ["a"]


def test_all_of_an_append_enters_or_none(book):
    bad = Event(0, TIME, "write", "host", "", {"value": float("nan")})
    with pytest.raises(ValueError, match="not JSON compliant"):
        book.append([note("a"), bad])
    assert book.read() == ()
    assert book.append([note("b")]) == (1,)


def test_a_decision_sees_what_stands_and_a_refusal_adds_nothing(book):
    book.append([note("a")])
    seen = []

    def decide(earlier):
        seen.extend(e.payload["text"] for e in earlier)
        raise FolderRefused("x", "a", "b", "Stop.")

    with pytest.raises(FolderRefused, match="Stop."):
        book.append_from(decide)
    assert seen == ["a"]
    assert len(book.read()) == 1


def test_two_takers_cannot_both_be_first(tmp_path):
    path = tmp_path / "book.sqlite"
    Book.create(path).close()

    def take():
        mine = Book.open(path)
        for _ in range(20):
            mine.append_from(lambda earlier: [note(str(len(earlier)))])
        mine.close()

    takers = [threading.Thread(target=take) for _ in range(3)]
    for taker in takers:
        taker.start()
    for taker in takers:
        taker.join()
    book = Book.open(path)
    assert [e.payload["text"] for e in book.read()] == [str(n) for n in range(60)]
    book.close()


def test_after_a_clean_close_the_book_is_one_file(book, tmp_path):
    book.append([note("a")])
    book.close()
    assert [p.name for p in tmp_path.iterdir()] == ["book.sqlite"]


def test_every_commit_waits_for_the_disk(book):
    assert book._connection.execute("PRAGMA synchronous").fetchone()[0] == 2
    assert book._connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal"


def test_on_a_network_share_the_plain_journal_is_used(tmp_path, monkeypatch):
    monkeypatch.setattr(book_module, "on_network_share", lambda folder: True)
    book = Book.create(tmp_path / "book.sqlite")
    assert book._connection.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
    assert book.append([note("a")]) == (1,)
    book.close()


def test_a_newer_book_is_refused(book):
    book.close()
    with sqlite3.connect(book.path) as other:
        other.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    other.close()
    with pytest.raises(FolderRefused, match=f"found version {len(MIGRATIONS) + 1}. Open it with the newer"):
        Book.open(book.path)


def test_an_older_book_is_lifted_and_keeps_its_lines(book, monkeypatch):
    book.append([note("a")])
    book.close()
    newer = (*MIGRATIONS, ("CREATE TABLE later (x TEXT) STRICT",))
    monkeypatch.setattr(book_module, "MIGRATIONS", newer)
    lifted = Book.open(book.path)
    assert [e.payload["text"] for e in lifted.read()] == ["a"]
    assert lifted._version() == len(newer)
    lifted.close()


def test_a_lift_that_fails_leaves_the_book_as_it_was(book, monkeypatch):
    book.close()
    broken = (*MIGRATIONS, ("CREATE TABLE later (x TEXT) STRICT", "CREATE TABLE nonsense"))
    monkeypatch.setattr(book_module, "MIGRATIONS", broken)
    with pytest.raises(FolderRefused, match="Check the disk; keep the folder as it is"):
        Book.open(book.path)
    monkeypatch.setattr(book_module, "MIGRATIONS", MIGRATIONS)
    again = Book.open(book.path)
    assert again.append([note("a")]) == (1,)
    again.close()


def test_another_database_is_not_ours(tmp_path):
    path = tmp_path / "book.sqlite"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE pots (name TEXT)")
    other.close()
    for opening in (Book.open, Book.create, Book.read_only):
        with pytest.raises(FolderRefused, match="needed a book that edgeshift wrote, found something else"):
            opening(path)


def test_a_book_that_is_absent_is_not_made_by_opening_it(tmp_path):
    with pytest.raises(FolderRefused, match="needed a book that edgeshift wrote"):
        Book.open(tmp_path / "book.sqlite")
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_no_database_is_not_ours(tmp_path):
    path = tmp_path / "book.sqlite"
    path.write_bytes(b"pots and clay, " * 100)
    with pytest.raises(FolderRefused, match="found something else"):
        Book.open(path)


def killed_copy(book: Book, place: Path) -> Path:
    """The files as a kill would leave them: the last lines still in the write-ahead file."""
    place.mkdir()
    for name in ("book.sqlite", "book.sqlite-wal"):
        shutil.copyfile(book.path.with_name(name), place / name)
    return place / "book.sqlite"


def test_a_locked_medium_still_shows_the_lines_acknowledged_last(book, tmp_path):
    book.append([note("a"), note("b")])
    path = killed_copy(book, tmp_path / "stick")
    before = {p.name: p.read_bytes() for p in path.parent.iterdir()}
    locked = Book.read_only(path)
    assert [e.payload["text"] for e in locked.read()] == ["a", "b"]
    assert {p.name: p.read_bytes() for p in path.parent.iterdir()} == before
    with pytest.raises(
        FolderRefused, match="found a locked one. Copy the experiment to a disk you may write"
    ):
        locked.append([note("c")])


def test_a_full_disk_is_refused_kindly_and_loses_nothing(book):
    book.append([note("a")])
    pages = book._connection.execute("PRAGMA page_count").fetchone()[0]
    book._connection.execute(f"PRAGMA max_page_count = {pages}")  # SQLite then answers as on a full disk
    with pytest.raises(FolderRefused, match="found none left. Free some room and do it again"):
        book.append([note("x" * 100_000)])
    book._connection.execute("PRAGMA max_page_count = 1000000")
    assert book.append([note("b")]) == (2,)
    assert [e.payload["text"] for e in book.read()] == ["a", "b"]
    assert book.whole()


def test_a_writer_that_never_ends_is_named(book):
    book._connection.execute("PRAGMA busy_timeout = 1")
    other = sqlite3.connect(book.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(FolderRefused, match="found another program writing. Wait a moment"):
        book.append([note("a")])
    other.execute("ROLLBACK")
    other.close()
    assert book.append([note("a")]) == (1,)


def test_the_mark_of_our_books_reads_as_letters():
    assert APPLICATION.to_bytes(4, "big") == b"ESFT"
