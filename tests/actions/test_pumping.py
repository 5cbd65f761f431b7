"""Pressures enter the book: typed one by one, or from a log that goes on growing."""

import pytest

from edgeshift.actions import pumping
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.new import new
from edgeshift.actions.note import Who
from edgeshift.actions.pumping import Given
from edgeshift.errors import NoteRefused
from edgeshift.records.pump_down import pump_downs
from edgeshift.records.shift_state import replay

HOST = Who("host")
LOG = b"# minutes mbar\n1 2e-5\n2 1e-5\n"


@pytest.fixture
def desk():
    return steady_desk()


@pytest.fixture
def folder(tmp_path, desk):
    with new(tmp_path / "shift", "question: dry?\n", desk) as folder:
        yield folder


def loads(folder):
    return pump_downs(replay(folder.events()).pumping)


def test_typed_readings_count_from_the_first_one(folder, desk):
    pumping.pressure(folder, desk, HOST, 2e-5, at="2026-03-01T10:00:00Z")
    pumping.pressure(folder, desk, HOST, 1e-5, at="2026-03-01T10:07:30Z")
    load = loads(folder)["typed"]
    assert load.minutes == (0.0, 7.5) and not load.began


def test_a_reading_without_a_time_is_taken_now(folder, desk):
    pumping.pressure(folder, desk, HOST, 2e-5, began="2026-03-01T07:30:00Z")
    (load,) = loads(folder).values()
    assert load.began and load.minutes[0] > 30


def test_a_growing_log_brings_only_what_is_new(folder, desk):
    pumping.pressure_log(folder, desk, HOST, Given("gauge.txt", LOG), from_start=True)
    event = pumping.pressure_log(folder, desk, HOST, Given("gauge.txt", LOG + b"3 8e-6\n4 7e"))
    assert event.payload["minutes"] == [3.0] and event.payload["mbar"] == [8e-6]
    assert loads(folder)["gauge"].minutes == (1.0, 2.0, 3.0) and loads(folder)["gauge"].began


def test_a_log_that_has_not_grown_is_refused_kindly(folder, desk):
    pumping.pressure_log(folder, desk, HOST, Given("gauge.txt", LOG))
    with pytest.raises(NoteRefused, match="readings that are new, found none after minute 2. Wait until"):
        pumping.pressure_log(folder, desk, HOST, Given("gauge.txt", LOG))


def test_a_dated_log_counts_from_when_pumping_began(folder, desk):
    log = b"mbar\n2026-03-01 10:05:00 2e-5\n2026-03-01 10:06:00 1e-5\n"
    pumping.pressure_log(folder, desk, HOST, Given("g.txt", log), began="2026-03-01T10:00:00")
    assert loads(folder)["g"].minutes == (5.0, 6.0)


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda *at: pumping.pressure(*at, 0.0), "the pressure: needed mbar above zero, found 0"),
        (lambda *at: pumping.pressure(*at, 1e-6, None, "soon"), "needed ISO 8601"),
        (
            lambda *at: pumping.pressure(*at, 1e-6, None, "2026-03-01T09:00:00", "2026-03-01T10:00:00"),
            "needed a time after pumping began",
        ),
        (
            lambda *at: pumping.pressure_log(*at, Given("g.txt", LOG), began="2026-03-01T10:00:00"),
            "--began: needed a log with dates, found a log without. If its minutes count",
        ),
        (
            lambda *at: pumping.isolate(*at, [(0, 1e-6), (60, 2e-6)]),
            "a load with readings, found no load yet",
        ),
    ],
)
def test_what_cannot_be_noted_is_refused(folder, desk, act, words):
    from edgeshift.errors import Refusal

    with pytest.raises(Refusal, match=words):
        act(folder, desk, HOST)


def test_a_typed_reading_cannot_join_a_log_that_has_no_clock(folder, desk):
    pumping.pressure_log(folder, desk, HOST, Given("gauge.txt", LOG))
    with pytest.raises(NoteRefused, match="readings with a clock, found a log that counts minutes"):
        pumping.pressure(folder, desk, HOST, 1e-6)


def test_an_isolation_belongs_to_the_load_and_to_its_last_minute(folder, desk):
    pumping.pressure_log(folder, desk, HOST, Given("gauge.txt", LOG))
    pumping.isolate(folder, desk, HOST, [(0, 1e-6), (60, 4e-6)])
    (one,) = loads(folder)["gauge"].isolations
    assert one.at_min == 2.0 and one.mbar == (1e-6, 4e-6)


def test_an_isolation_of_hours_is_a_slip(folder, desk):
    pumping.pressure_log(folder, desk, HOST, Given("gauge.txt", LOG))
    with pytest.raises(NoteRefused, match="at most an hour, found longer. Type the times in seconds."):
        pumping.isolate(folder, desk, HOST, [(0, 1e-6), (7200, 4e-6)])


def test_what_does_not_count_in_a_log_is_kept_with_its_readings(folder, desk):
    log = b"minutes,mbar\n1,2e-5\n3,0\n2,1e-5\n"
    event = pumping.pressure_log(folder, desk, HOST, Given("gauge.csv", log))
    assert event.payload["minutes"] == [1.0, 2.0]
    said = ["1 line with a pressure of zero, less or none", "1 line with a time before the line above"]
    assert [each.partition(":")[0] for each in event.payload["complaints"]] == said
    assert loads(folder)["gauge"].complaints == tuple(event.payload["complaints"])
