"""An experiment is a folder that can be copied, read by people and opened again."""

import os
import shutil

import pytest

from edgeshift.errors import FolderRefused, TextRefused
from edgeshift.folder import experiment_folder as module
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.identity import sha256_of

TIME = "2026-03-01T08:00:00.000Z"
LATER = "2026-03-01T09:00:00.000Z"
TEXT = "question: does the fire change the clay?\n"


def accept(text: str, name: str) -> None:
    if "broken" in text:
        raise TextRefused(f"{name}:1", "a known word", "'broken'", "Mend the line.")


@pytest.fixture
def folder(tmp_path):
    with ExperimentFolder.create(tmp_path / "shift", TEXT, TIME) as folder:
        yield folder


def arrive(folder: ExperimentFolder, name: str, data: bytes) -> str:
    stored, sha = folder.keep_raw(name, data), sha256_of(data)
    folder.append([Event(0, TIME, "arrival", "tool", "", {"file": stored, "sha256": sha})])
    return sha


def test_a_new_experiment_can_be_read_by_people(folder):
    assert (folder.path / "experiment.yaml").read_text(encoding="utf-8") == TEXT
    assert folder.experiment_text() == TEXT
    assert [(e.kind, e.role, e.time) for e in folder.events()] == [("experiment", "host", TIME)]


def test_a_copy_of_the_folder_is_a_copy_of_the_experiment(folder, tmp_path):
    sha = arrive(folder, "a.dat", b"1 2 3")
    folder.close()
    shutil.copytree(folder.path, tmp_path / "copy")
    with ExperimentFolder.open(tmp_path / "copy") as copy:
        assert copy.raw_bytes(sha) == b"1 2 3"


def test_raw_bytes_are_kept_byte_for_byte_and_locked(folder):
    data = bytes(range(256))
    assert folder.keep_raw("a.dat", data) == "a.dat"
    path = folder.path / "raw" / "a.dat"
    assert path.read_bytes() == data
    assert path.stat().st_mode & 0o222 == 0


def test_the_same_bytes_under_the_same_name_are_kept_once(folder):
    assert folder.keep_raw("a.dat", b"x") == folder.keep_raw("a.dat", b"x") == "a.dat"
    assert len(list((folder.path / "raw").iterdir())) == 1


def test_other_bytes_under_the_same_name_get_their_own_name(folder):
    names = [folder.keep_raw("a.dat", data) for data in (b"x", b"y", b"z", b"y")]
    assert names == ["a.dat", "a~2.dat", "a~3.dat", "a~2.dat"]
    assert (folder.path / "raw" / "a.dat").read_bytes() == b"x"


def test_a_name_cannot_leave_the_folder(folder):
    assert folder.keep_raw("../../book.sqlite", b"x") == "book.sqlite"
    assert (folder.path / "raw" / "book.sqlite").read_bytes() == b"x"


def test_raw_bytes_that_were_changed_are_refused(folder):
    sha = arrive(folder, "a.dat", b"x")
    path = folder.path / "raw" / "a.dat"
    path.chmod(0o644)
    path.write_bytes(b"y")
    with pytest.raises(FolderRefused, match="needed the bytes that were taken, found other bytes"):
        folder.raw_bytes(sha)


def test_raw_bytes_that_are_gone_are_refused(folder):
    sha = arrive(folder, "a.dat", b"x")
    (folder.path / "raw" / "a.dat").unlink()
    with pytest.raises(
        FolderRefused, match="a.dat: needed the copy that was taken, found no such file. Put it back"
    ):
        folder.raw_bytes(sha)


def test_bytes_that_never_arrived_are_refused(folder):
    with pytest.raises(FolderRefused, match="no such arrival in the book"):
        folder.raw_bytes("0" * 64)


def test_a_result_is_written_only_where_it_changed(folder):
    assert folder.write_result("real/al-k.json", b"[]") is True
    path = folder.path / "results" / "real" / "al-k.json"
    before = path.stat().st_ino
    assert folder.write_result("real/al-k.json", b"[]") is False
    assert path.stat().st_ino == before
    assert folder.write_result("real/al-k.json", b"[1]") is True
    assert path.read_bytes() == b"[1]"


@pytest.mark.parametrize("name", ["../book.sqlite", "/tmp/x", "", "a/../../b"])
def test_a_result_cannot_leave_its_folder(folder, name):
    with pytest.raises(FolderRefused, match="needed a name inside results/"):
        folder.write_result(name, b"x")


def test_results_may_be_deleted_at_any_time(folder):
    folder.write_result("a.json", b"[]")
    shutil.rmtree(folder.path / "results")
    assert folder.write_result("a.json", b"[]") is True


def test_an_untouched_text_adds_no_line(folder):
    assert folder.accept_hand_edit(LATER, accept) is None
    assert len(folder.events()) == 1


def test_a_change_by_hand_enters_the_book_whole(folder):
    text = TEXT + "# we moved pot C\r\n"
    (folder.path / "experiment.yaml").write_bytes(text.encode())
    assert folder.accept_hand_edit(LATER, accept, role="teacher") is None
    last = folder.events()[-1]
    assert (last.kind, last.role, last.reason, last.time) == (
        "experiment",
        "teacher",
        "changed by hand",
        LATER,
    )
    assert last.payload["text"] == text == folder.experiment_text()


def test_a_change_that_another_program_saw_first_enters_once(folder):
    text = TEXT + "# we moved pot C\n"
    (folder.path / "experiment.yaml").write_text(text, encoding="utf-8")

    def seen_meanwhile(said: str, name: str) -> None:
        folder.append([Event(0, LATER, "experiment", "host", "changed by hand", {"text": said})])

    assert folder.accept_hand_edit(LATER, seen_meanwhile) is None
    assert [event.payload["text"] for event in folder.events()] == [TEXT, text]


def test_a_broken_change_is_refused_and_the_last_text_stays(folder):
    (folder.path / "experiment.yaml").write_text("broken: yes\n", encoding="utf-8")
    refusal = folder.accept_hand_edit(LATER, accept)
    assert "experiment.yaml:1: needed a known word" in str(refusal)
    assert folder.experiment_text() == TEXT
    assert (folder.path / "experiment.yaml").read_text(encoding="utf-8") == "broken: yes\n"


def test_a_text_in_other_bytes_is_refused_with_its_line(folder):
    (folder.path / "experiment.yaml").write_bytes(b"question: a\narms: \xff\n")
    refusal = folder.accept_hand_edit(LATER, accept)
    assert "experiment.yaml:2: needed text in UTF-8" in str(refusal)


def test_a_text_that_was_deleted_is_written_back(folder):
    (folder.path / "experiment.yaml").unlink()
    assert "The last accepted text was written back" in str(folder.accept_hand_edit(LATER, accept))
    assert (folder.path / "experiment.yaml").read_text(encoding="utf-8") == TEXT


def test_a_place_that_is_absent_is_refused_with_the_next_act(tmp_path):
    with pytest.raises(FolderRefused, match="found no such folder. Begin one with: edgeshift new"):
        ExperimentFolder.open(tmp_path / "nowhere")


def test_a_folder_of_something_else_is_refused(tmp_path):
    with pytest.raises(FolderRefused, match="found a place without a book"):
        ExperimentFolder.open(tmp_path)


def test_an_experiment_is_never_begun_over_another(folder):
    with pytest.raises(FolderRefused, match="found an experiment. Use it as it is"):
        ExperimentFolder.create(folder.path, TEXT, TIME)


def test_an_experiment_is_never_begun_among_other_files(tmp_path):
    (tmp_path / "pots.txt").write_text("clay", encoding="utf-8")
    with pytest.raises(FolderRefused, match="found 'pots.txt' in it"):
        ExperimentFolder.create(tmp_path, TEXT, TIME)


def test_an_experiment_is_never_begun_over_a_file(tmp_path):
    (tmp_path / "pots").write_text("clay", encoding="utf-8")
    with pytest.raises(FolderRefused, match="found a file of that name"):
        ExperimentFolder.create(tmp_path / "pots", TEXT, TIME)


@pytest.mark.parametrize("reached", ["raw", "book.sqlite", "experiment.yaml"])
def test_a_beginning_that_was_killed_can_be_done_again(tmp_path, reached):
    path = tmp_path / "shift"
    (path / "raw").mkdir(parents=True)
    if reached != "raw":
        module.Book.create(path / "book.sqlite").close()
    if reached == "experiment.yaml":
        (path / "experiment.yaml").write_text("half", encoding="utf-8")
    with ExperimentFolder.create(path, TEXT, TIME) as folder:
        assert folder.experiment_text() == TEXT


def test_a_locked_disk_opens_for_reading_and_refuses_to_write(folder, monkeypatch):
    sha = arrive(folder, "a.dat", b"x")
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with ExperimentFolder.open(folder.path) as locked:
        assert not locked.writable
        assert locked.raw_bytes(sha) == b"x"
        assert locked.experiment_text() == TEXT
        with pytest.raises(FolderRefused, match="found a locked one"):
            locked.append([Event(0, TIME, "write", "host", "", {"text": "x"})])


def test_a_hand_edit_on_a_locked_disk_is_refused_and_not_lost(folder, monkeypatch):
    (folder.path / "experiment.yaml").write_text(TEXT + "# more\n", encoding="utf-8")
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with ExperimentFolder.open(folder.path) as locked:
        assert "found a locked one" in str(locked.accept_hand_edit(LATER, accept))
        assert locked.experiment_text() == TEXT


def test_what_a_killed_take_left_is_cleared_away_when_old(folder):
    old, young = (folder.path / "raw" / f".incoming-{name}" for name in ("old", "young"))
    for leftover in (old, young):
        leftover.write_bytes(b"half")
    os.utime(old, (0, 0))
    with ExperimentFolder.open(folder.path):
        assert not old.exists()
        assert young.exists()


NEW_TEXT = "question: does the rain change the clay?\n"
EDIT = Event(0, LATER, "experiment", "host", "rain, not fire", {"text": NEW_TEXT})


def test_a_changed_text_is_on_the_disk_and_in_the_book(folder):
    assert folder.change_text(lambda events: [EDIT]).number == 2
    assert (folder.path / "experiment.yaml").read_text(encoding="utf-8") == NEW_TEXT
    assert folder.accept_hand_edit(LATER, accept) is None
    assert [event.reason for event in folder.events()] == ["begun", "rain, not fire"]


def test_a_change_killed_before_its_line_is_healed_as_one_by_hand(folder, monkeypatch):
    class Killed(BaseException):
        pass

    def killed(*_):
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(type(folder.book), "_enter", killed)
        # Whoever is killed puts nothing back either.
        patch.setattr(module, "write_durably", once(module.write_durably))
        with pytest.raises(Killed):
            folder.change_text(lambda events: [EDIT])
    assert folder.experiment_text() == TEXT
    with ExperimentFolder.open(folder.path) as opened:
        assert opened.accept_hand_edit(LATER, accept) is None
        assert opened.experiment_text() == NEW_TEXT
        assert opened.events()[-1].reason == "changed by hand"


def once(act):
    """The act, and afterwards nothing."""
    acts = [act]
    return lambda *given: acts.pop()(*given) if acts else None


def test_a_change_that_cannot_be_entered_is_put_back(folder, monkeypatch):
    def full(*_):
        raise FolderRefused("book.sqlite", "room on the disk", "none left", "Free some.")

    monkeypatch.setattr(type(folder.book), "_enter", full)
    with pytest.raises(FolderRefused, match="room on the disk"):
        folder.change_text(lambda events: [EDIT])
    assert (folder.path / "experiment.yaml").read_text(encoding="utf-8") == TEXT


def test_a_text_that_somebody_just_changed_by_hand_is_not_overwritten(folder):
    (folder.path / "experiment.yaml").write_text("question: mine?\n", encoding="utf-8")
    with pytest.raises(TextRefused, match="needed the accepted text, found one just changed by hand"):
        folder.change_text(lambda events: [EDIT])
    assert (folder.path / "experiment.yaml").read_text(encoding="utf-8") == "question: mine?\n"
