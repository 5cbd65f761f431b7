"""The day line of a room whose end is typed: minutes left, and the rest of the plan drawn ahead."""

import re
import time
from datetime import timedelta

import pytest
from practised import begun, files, made

from edgeshift.actions.day import day_figure
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.new import new
from edgeshift.actions.plan import day_ahead, plan, so_far
from edgeshift.actions.room import Room
from edgeshift.actions.session import Session
from edgeshift.planning.budget import Now
from edgeshift.records.room import View
from edgeshift.records.shift_state import moment

TEXT = made().experiment_text + "day: {ends: '2026-03-14T20:00:00+01:00'}\n"
TRIP = "2026-03-14T17:40:00+01:00"


@pytest.fixture(scope="module")
def known(tmp_path_factory):
    """All of Al K (18 scans of six specimens) and one round of Fe L but for its last specimen."""
    raw = [*files("AlK"), *files("FeL")[:5]]
    with begun(tmp_path_factory.mktemp("day") / "shift", raw, TEXT) as folder:
        yield Session(folder).known()


def test_a_round_is_done_where_every_specimen_has_its_scan(known):
    now = so_far(known, 300.0)
    per_specimen = len(files("AlK")) // 6
    assert now.done["Al K"] == per_specimen and now.done["Fe L"] == 0 and now.done["Ti L"] == 0
    assert (now.minute, now.load, now.begun, now.decided) == (300.0, 1, True, False)


def test_after_a_trip_the_rest_is_planned_from_the_book_in_less_than_a_second(known):
    begun_at = time.perf_counter()
    ahead = day_ahead(known, TRIP)
    assert time.perf_counter() - begun_at < 1.0
    words = [one.words for one in ahead]
    assert words[-3:] == ["closing check", "write", "close"] and all(one.planned for one in ahead)
    assert "Fe L" in words and "arrive, mount" not in words
    assert ahead[0].start == "2026-03-14T17:40:00+01:00"


def test_what_does_not_fit_any_more_is_not_drawn(known):
    (check,) = day_ahead(known, "2026-03-14T19:45:00+01:00")
    assert check.words == "closing check"
    assert day_ahead(known, "2026-03-14T19:50:00+01:00") == []
    assert day_ahead(known, "2026-03-16T19:45:00+01:00") == []


def test_without_a_typed_end_nothing_is_planned_ahead(tmp_path):
    with begun(tmp_path / "open", files("AlK")[:1]) as folder:
        assert day_ahead(Session(folder).known(), TRIP) == []


def test_before_the_first_scan_the_day_is_drawn_as_planned_beforehand(tmp_path):
    new(tmp_path / "shift", TEXT, steady_desk()).close()
    room = Room(tmp_path / "shift", steady_desk("2026-03-14T12:30:00.000+01:00"))
    try:
        (line,) = day_figure(room).panels
    finally:
        room.close()
    assert line.left.startswith("7 h 29 min") or line.left == "7 h 30 min are ours"
    words = [one.words for one in line.moments if one.planned]
    assert words[0] == "pump" and words[-1] == "close" and line.offset_min == 60


def test_an_end_of_another_day_is_no_end_of_this_one(tmp_path):
    new(tmp_path / "shift", TEXT, steady_desk()).close()
    room = Room(tmp_path / "shift", steady_desk("2026-02-01T12:30:00.000+01:00"))
    try:
        (line,) = day_figure(room).panels
    finally:
        room.close()
    assert line.left == "" and not any(one.planned for one in line.moments)


@pytest.fixture(params=["2026-11-25T22:00:00.000Z", "2026-01-05T09:00:00.000Z"])
def rehearsed(tmp_path, request):
    """The practice day played through on another day, later and earlier than the one in its headers."""
    desk = steady_desk(request.param)
    begun(tmp_path / "shift", files("AlK")[:6], TEXT, desk).close()
    room = Room(tmp_path / "shift", desk)
    yield room
    room.close()


def left(text):
    """Minutes in the words of the day line."""
    hours, minutes = re.match(r"(?:(\d+) h )?(\d+) min", text).groups()
    return 60 * int(hours or 0) + int(minutes)


def test_in_a_rehearsal_the_answer_and_the_day_line_have_the_same_minutes(rehearsed):
    (line,) = day_figure(rehearsed).panels
    (answer,) = rehearsed.ask(View("minutes"))
    assert answer.detail["minutes_left"] == pytest.approx(left(line.left), abs=1.0)
    last = max(moment(one.start) for one in line.moments if not one.planned)
    assert abs(moment(line.now) - last) < timedelta(minutes=10)
    assert moment(line.end) <= moment("2026-03-14T20:00:00+01:00")


def test_a_rehearsal_is_rewound_to_the_time_of_its_own_day(rehearsed):
    now = day_figure(rehearsed).panels[0]
    scans = [one for one in now.moments if one.kind == "scan"]
    (then,) = day_figure(rehearsed, scans[2].known).panels
    assert then.begin == now.begin and then.end == now.end
    assert moment(scans[2].start) <= moment(then.now) < moment(scans[3].start) + timedelta(minutes=1)
    assert then.live == now.now
    rewound = rehearsed.ask(View("minutes"), scans[2].known)[0].detail["minutes_left"]
    assert rewound == pytest.approx(left(then.left), abs=1.0)


def test_the_typed_zone_is_the_rooms_clock_until_the_end_of_the_day_is_typed(tmp_path):
    zoned = made().experiment_text
    bare = re.sub(r"(?m)^  zone: .*\n", "", zoned)
    for name, text, offset in (("bare", bare, 0), ("zoned", zoned, 60)):
        begun(tmp_path / name, files("AlK")[:1], text).close()
        room = Room(tmp_path / name, steady_desk())
        assert day_figure(room).panels[0].offset_min == offset
        room.close()


def test_the_command_takes_what_is_done_from_the_book_where_nobody_says_it(tmp_path):
    with begun(tmp_path / "shift", files("AlK"), TEXT):
        pass
    left_out = plan(tmp_path / "shift", steady_desk(), Now(330.0, begun=True, eaten=True), write=False)
    said = plan(tmp_path / "shift", steady_desk(), Now(330.0, {}, begun=True, eaten=True), write=False)
    edges = [{one.edge for one in each.day.stretches if one.edge} for each in (left_out, said)]
    assert "Al K" not in edges[0] and "Al K" in edges[1]
