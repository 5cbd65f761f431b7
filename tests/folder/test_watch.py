"""A file counts once it is finished: its writer closed it, or it has not changed for a while."""

import os
import time

import pytest

from edgeshift.errors import FolderRefused
from edgeshift.folder.watch import STILL_S, AtRest, Growing, Seen, Watch


def names(watch, seconds=4.0, until=1):
    """What the watch tells within some seconds, or as soon as it told that many."""
    found, end = [], time.monotonic() + seconds
    while time.monotonic() < end and len(found) < until:
        found += [path.name for path in watch.finished(0.1)]
    return found


@pytest.fixture(params=[False, True], ids=["notified", "polled"])
def watch(request, tmp_path):
    watch = Watch(tmp_path, polled=request.param)
    yield watch
    watch.close()


def test_a_closed_file_is_finished_at_once():
    growing = Growing()
    growing.saw("a.dat", Seen(10, 1), 0.0)
    assert growing.finished(0.1) == []
    growing.closed("a.dat", Seen(20, 2), 0.2)
    assert growing.finished(0.2) == ["a.dat"]
    assert growing.finished(0.3) == []


def test_a_file_that_nobody_closes_is_finished_when_it_rests():
    growing = Growing()
    growing.saw("a.dat", Seen(10, 1), 0.0)
    growing.saw("a.dat", Seen(20, 2), 1.5)
    assert growing.finished(1.6 + STILL_S / 2) == []
    assert [one.name for one in growing.running(2.0)] == ["a.dat"]
    assert growing.finished(1.5 + STILL_S) == ["a.dat"]
    assert growing.running(9.0) == ()


def test_a_writer_that_closes_after_every_point_is_not_believed_again():
    growing = Growing()
    growing.closed("a.dat", Seen(10, 1), 0.0)
    assert growing.finished(0.0) == ["a.dat"]
    growing.closed("a.dat", Seen(20, 2), 0.5)
    assert growing.finished(0.6) == []
    growing.closed("b.dat", Seen(10, 3), 1.0)
    assert growing.finished(1.1) == []
    assert growing.finished(1.0 + STILL_S) == ["a.dat", "b.dat"]


def test_a_finished_file_that_grows_again_is_told_again():
    growing = Growing()
    growing.closed("a.dat", Seen(10, 1), 0.0)
    growing.finished(0.0)
    growing.saw("a.dat", Seen(30, 2), 5.0)
    assert growing.finished(5.0 + STILL_S) == ["a.dat"]


def test_a_file_that_says_itself_that_more_will_come_goes_on_running():
    growing = Growing()
    growing.closed("a.dat", Seen(10, 1), 0.0)
    growing.finished(0.0)
    growing.not_yet("a.dat", 0.0)
    assert growing.finished(0.1) == []
    assert [one.size for one in growing.running(0.1)] == [10]


def test_an_empty_file_is_not_finished():
    growing = Growing()
    growing.closed("a.dat", Seen(0, 1), 0.0)
    assert growing.finished(60.0) == []


def test_a_vanished_file_is_forgotten():
    growing = Growing()
    growing.saw("a.dat", Seen(10, 1), 0.0)
    growing.gone([])
    assert growing.finished(60.0) == []


def test_files_are_told_oldest_first(watch, tmp_path):
    for number, name in enumerate(("b.dat", "a.dat")):
        (tmp_path / name).write_bytes(b"1 2 3\n")
        os.utime(tmp_path / name, ns=(1_000 + number, 1_000 + number))
    found = names(watch, until=2)
    assert sorted(found) == ["a.dat", "b.dat"]


def test_a_file_in_a_folder_beneath_is_found(watch, tmp_path):
    (tmp_path / "monday").mkdir()
    (tmp_path / "monday" / "a.dat").write_bytes(b"1 2 3\n")
    assert names(watch) == ["a.dat"]


def test_a_file_moved_into_place_is_found_and_its_unfinished_name_is_not(watch, tmp_path):
    (tmp_path / "a.dat.part").write_bytes(b"1 2 3\n")
    assert names(watch, 0.5) == []
    (tmp_path / "a.dat.part").rename(tmp_path / "a.dat")
    assert names(watch) == ["a.dat"]


def test_hidden_files_are_left_alone(watch, tmp_path):
    (tmp_path / ".a.dat").write_bytes(b"1 2 3\n")
    (tmp_path / "b.dat~").write_bytes(b"1 2 3\n")
    assert names(watch, 1.0) == []


def test_an_open_file_that_still_grows_is_not_told(tmp_path):
    watch = Watch(tmp_path, polled=False)
    with (tmp_path / "a.dat").open("wb", buffering=0) as writing:
        for _ in range(6):
            writing.write(b"1 2 3\n")
            assert names(watch, 0.25) == []
        assert [one.name for one in watch.running] == ["a.dat"]
    assert names(watch) == ["a.dat"]
    watch.close()


def test_nothing_in_the_folder_is_changed(watch, tmp_path):
    (tmp_path / "a.dat").write_bytes(b"1 2 3\n")
    os.chmod(tmp_path / "a.dat", 0o444)
    before = (tmp_path / "a.dat").stat()
    assert names(watch) == ["a.dat"]
    assert (tmp_path / "a.dat").stat() == before
    assert [path.name for path in tmp_path.iterdir()] == ["a.dat"]


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(FolderRefused, match="needed a folder that fills, found no such folder"):
        Watch(tmp_path / "nowhere")


@pytest.fixture
def edited(tmp_path):
    """A text, what says that it came to rest, and a clock to be set."""
    path, clock = tmp_path / "text.yaml", [0.0]
    path.write_text("a: 1\n", encoding="utf-8")
    return path, AtRest(path, lambda: clock[0]), clock


def news(rest, clock, at, also=None):
    clock[0] = at
    return rest.news(also)


def test_a_text_that_nobody_touches_is_no_news(edited):
    _, rest, clock = edited
    assert not any(news(rest, clock, at) for at in (0.0, 1.0, 10.0))


def test_an_edited_text_is_told_once_when_it_rests(edited):
    path, rest, clock = edited
    path.write_text("a: 22\n", encoding="utf-8")
    assert [news(rest, clock, at) for at in (1.0, 1.4, 1.6, 1.8, 9.0)] == [False, False, True, False, False]


def test_a_text_that_is_emptied_and_filled_again_is_told_when_it_is_full(edited):
    path, rest, clock = edited
    for at, text in ((1.0, ""), (1.3, "a:"), (1.6, "a: 22\nb")):
        path.write_text(text, encoding="utf-8")
        assert not news(rest, clock, at)
    assert news(rest, clock, 2.2)


def test_a_text_that_is_gone_for_a_moment_is_no_news_and_for_longer_it_is(edited):
    path, rest, clock = edited
    path.unlink()
    assert [news(rest, clock, at) for at in (1.0, 1.8)] == [False, False]
    path.write_text("a: 22\n", encoding="utf-8")
    assert [news(rest, clock, at) for at in (2.0, 2.6)] == [False, True]
    path.unlink()
    assert [news(rest, clock, at) for at in (3.0, 4.9, 5.1)] == [False, False, True]


def test_what_else_belongs_to_the_state_is_news_too(edited):
    _, rest, clock = edited
    assert [news(rest, clock, at, also=7) for at in (1.0, 1.6, 2.0)] == [False, True, False]
