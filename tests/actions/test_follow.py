"""Finished files are taken as they land; half of a file is never counted."""

import pytest
from practised import begun, files, made

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.follow import Follower, points_said
from edgeshift.actions.room import Room
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.records.shift_state import scan_key


@pytest.fixture
def room(tmp_path):
    begun(tmp_path / "shift", []).close()
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
