"""Finished files are taken as they land; half of a file is never counted."""

import contextlib
from dataclasses import replace

import pytest
from practised import begun, files, made

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.follow import Follower, points_said
from edgeshift.actions.practise import How, practise
from edgeshift.actions.room import Room
from edgeshift.folder import watch as watching
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.records.shift_state import scan_key

UNANNOUNCED = made().experiment_text.replace("  points_key: points\n", "")
"""The practice text of a beamline whose files do not say how many points they will have."""


@pytest.fixture
def room(tmp_path, request):
    begun(tmp_path / "shift", [], getattr(request, "param", None)).close()
    room = Room(tmp_path / "shift", steady_desk())
    yield room
    room.close()


@pytest.fixture
def landing(tmp_path):
    place = tmp_path / "landing"
    place.mkdir()
    return place


def follow(follower, until, rounds=60):
    for _ in range(rounds):
        follower.step(0.1)
        if until():
            return True
    return False


def arrived(room):
    return list(room.known().state.arrivals)


@pytest.mark.parametrize("polled", [False, True])
def test_a_file_that_lands_is_taken(room, landing, polled):
    follower = Follower(room, landing, polled)
    name, data = files("AlK")[0]
    (landing / name).write_bytes(data)
    assert follow(follower, lambda: arrived(room) == [scan_key(1)])
    follower.watch.close()


@pytest.mark.parametrize("room", [UNANNOUNCED], indirect=True, ids=["no points announced"])
def test_half_a_file_that_was_taken_becomes_the_whole_one_under_the_same_key(room, landing):
    follower = Follower(room, landing)
    (name, data), other = files("AlK")[:2]
    (landing / name).write_bytes(data[: len(data) * 3 // 4])
    assert follow(follower, lambda: len(arrived(room)) == 1)
    (landing / name).write_bytes(data)
    assert follow(follower, lambda: room.known().state.arrivals[scan_key(1)].sha256 == sha256(data))
    (landing / other[0]).write_bytes(other[1])
    assert follow(follower, lambda: len(arrived(room)) == 2)
    assert arrived(room) == [scan_key(1), scan_key(2)]
    follower.watch.close()


def sha256(data):
    from edgeshift.records.identity import sha256_of

    return sha256_of(data)


def test_a_file_whose_header_says_that_points_are_missing_is_not_taken(room, landing):
    profile = BeamlineProfile(points_key="points")
    head = b"# points: 4\n# energy i0 tey\n"
    said = points_said("a.dat", head + b"1 2 3\n2 3 4\n3 4 5\n", profile)
    assert said.there < said.planned
    assert points_said("a.dat", head + b"1 2 3\n2 3 4\n3 4 5\n4 5 6\n", profile) == (4, 4)
    assert points_said("a.dat", b"# energy i0 tey\n1 2 3\n2 3 4\n3 4 5\n", profile) is None


@pytest.mark.parametrize("polled", [False, True])
def test_a_growing_practice_file_is_taken_at_its_last_point_while_it_stands_open(
    room, landing, polled, monkeypatch
):
    """Without waiting for stillness, which here would take a minute."""
    monkeypatch.setattr(watching, "STILL_S", 60.0)
    monkeypatch.setattr(watching, "STILL_ON_SHARE_S", 60.0)
    follower = Follower(room, landing, polled)
    name, data = files("AlK")[0]
    lines = data.splitlines(keepends=True)
    with (landing / name).open("wb", buffering=0) as growing:
        growing.write(b"".join(lines[:-1]))
        assert follow(follower, lambda: [one.name for one in room.running] == [name])
        assert not follow(follower, lambda: arrived(room), rounds=8)
        growing.write(lines[-1][:-1])
        assert not follow(follower, lambda: arrived(room), rounds=8)
        growing.write(lines[-1][-1:])
        assert follow(follower, lambda: arrived(room) == [scan_key(1)], rounds=12)
    assert follow(follower, lambda: not room.running, rounds=12)
    assert room.known().state.arrivals[scan_key(1)].sha256 == sha256(data)
    follower.watch.close()


def test_a_scan_that_was_stopped_is_taken_once_the_instrument_has_gone_on(room, landing, monkeypatch):
    monkeypatch.setattr(watching, "STILL_S", 0.3)
    follower = Follower(room, landing)
    (name, data), other = files("AlK")[:2]
    short = b"".join(data.splitlines(keepends=True)[:-40])
    (landing / name).write_bytes(short)
    assert not follow(follower, lambda: arrived(room), rounds=12)
    (landing / other[0]).write_bytes(other[1])
    assert follow(follower, lambda: len(arrived(room)) == 2)
    assert {one.sha256 for one in room.known().state.arrivals.values()} == {sha256(short), sha256(other[1])}
    follower.watch.close()


def test_an_unrelated_file_does_not_say_that_a_short_scan_is_finished(room, landing, monkeypatch):
    monkeypatch.setattr(watching, "STILL_S", 0.3)
    follower = Follower(room, landing)
    (name, data), other = files("AlK")[:2]
    (landing / name).write_bytes(b"".join(data.splitlines(keepends=True)[:-40]))
    assert not follow(follower, lambda: arrived(room), rounds=8)
    (landing / "notes.txt").write_bytes(b"the door was open\n")
    (landing / "map.dat").write_bytes(b"# x y\n1 2\n3 4\n5 6\n")
    assert not follow(follower, lambda: arrived(room), rounds=16)
    (landing / other[0]).write_bytes(other[1])
    assert follow(follower, lambda: len(arrived(room)) == 2)
    follower.watch.close()


def test_a_gauges_log_among_the_scans_is_no_file_that_could_not_be_taken(room, landing):
    follower = Follower(room, landing)
    (log,) = made().logs
    (landing / log.name).write_bytes(log.data)
    name, data = files("AlK")[0]
    (landing / name).write_bytes(data)
    assert follow(follower, lambda: arrived(room))
    follow(follower, lambda: False, rounds=8)
    assert room.refused == {} and len(arrived(room)) == 1
    follower.watch.close()


def test_a_stage_beside_a_practice_that_runs_takes_every_file_once(tmp_path, monkeypatch):
    """Both processes take the same files: the book holds each of them once."""
    monkeypatch.setattr(watching, "STILL_S", 60.0)
    seen: set[str] = set()
    with contextlib.ExitStack() as closing:
        followers: list[Follower] = []

        def nap(_: float) -> None:
            if not followers:
                room = Room(tmp_path / "live", steady_desk())
                followers.append(Follower(room, tmp_path / "live" / "landing"))
                closing.callback(room.close)
                closing.callback(followers[0].watch.close)
            followers[0].step(0.01)
            seen.update(one.name for one in followers[0].room.running)

        desk = replace(steady_desk(), sleep=nap)
        done = practise(tmp_path / "live", 3, desk=desk, how=How(speed=1e6, asked=False))
        kinds = [event.kind for event in followers[0].room.folder.events()]
    assert kinds.count("arrival") == done.taken == 46
    assert "duplicate" not in kinds
    assert len(seen) > 20


def test_a_file_that_cannot_be_taken_is_kept_in_sight_until_it_can(room, landing):
    follower = Follower(room, landing)
    name, data = files("AlK")[0]
    (landing / name).write_bytes(b"\x00\x01 not a table")
    assert follow(follower, lambda: name in room.refused)
    assert "needed" in room.refused[name].sentence
    (landing / name).write_bytes(data)
    assert follow(follower, lambda: arrived(room) == [scan_key(1)])
    assert room.refused == {}
    follower.watch.close()


def test_what_another_process_wrote_is_seen(room):
    told = []
    room.listen(told.append)
    follower = Follower(room, None)
    begun_elsewhere = Room(room.folder.path, steady_desk())
    begun_elsewhere.take(*files("AlK")[0])
    begun_elsewhere.close()
    follower.step(0.01)
    assert arrived(room) == [scan_key(1)]
    assert told == [room.revision]
    follower.step(0.01)
    assert len(told) == 1


def test_the_thread_takes_what_lands_and_stops(room, landing):
    follower = Follower(room, landing)
    follower.start()
    for name, data in files("KL")[:3]:
        (landing / name).write_bytes(data)
    for _ in range(100):
        if len(arrived(room)) == 3:
            break
        follower._stop.wait(0.1)
    follower.stop()
    assert len(arrived(room)) == 3
    assert len(made().files) > 3
