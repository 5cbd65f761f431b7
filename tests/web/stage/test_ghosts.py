"""What the room drew appears beneath the trace that answers it, and the Stage says how to take part."""

from __future__ import annotations

import pytest
from a_house import CARDS, FIRED_SCANS, RAW_SCANS, SKETCH, act, house, scan, visitor

from edgeshift.actions.expecting import guess_sheet, landed
from edgeshift.actions.staging import staged
from edgeshift.records.figure import Ghost, Plot
from edgeshift.records.room import View


@pytest.fixture
def room(tmp_path):
    with house(tmp_path / "shift", RAW_SCANS) as there:
        yield there


def guessed(room, specimen="FIRED-C"):
    host = visitor(room, "host")
    act(host, "invite-guesses", edge="Al K", specimen=specimen, reason="before we look")
    for height in (1.0, 1.2, 1.4):
        act(visitor(room), "guess", points=[*SKETCH[:2], [1570.0, height]])
    return host


def ghosts(figure):
    strips = [strip for panel in figure.panels if isinstance(panel, Plot) for strip in panel.strips]
    return [mark for strip in strips for mark in strip.marks if isinstance(mark, Ghost)]


@pytest.mark.parametrize("question", ["trust", "real"])
def test_sketches_lie_beneath_the_trace_once_it_has_landed(room, question):
    guessed(room)
    view = View(question, "Al K")
    assert ghosts(staged(room.room, view).figure) == []
    room.room.take(*scan(*FIRED_SCANS[0]))
    shown = staged(room.room, view)
    assert len(ghosts(shown.figure)) == shown.ghosts == 3
    assert shown.asked == "Was that on your sketch?"


def test_the_trace_stands_in_the_unit_in_which_the_sketches_were_drawn(room):
    guessed(room)
    unit = guess_sheet(room.room, "Al K").unit
    room.room.take(*scan(*FIRED_SCANS[0]))
    plot = staged(room.room, View("trust", "Al K")).figure.panels[0]
    assert plot.bar.unit == unit == "step"


def test_a_scan_of_another_specimen_brings_no_sketches(room):
    guessed(room, "FIRED-D")
    room.room.take(*scan(*FIRED_SCANS[0]))
    assert ghosts(staged(room.room, View("real", "Al K")).figure) == []


def test_the_sketches_go_with_the_next_scan_of_the_edge_and_come_back_when_the_day_is_rewound(room):
    guessed(room)
    room.room.take(*scan(*FIRED_SCANS[0]))
    then = room.room.known().state.events[-1].time
    room.room.take(*scan(*FIRED_SCANS[1]))
    assert landed(room.room, "Al K") is None
    assert len(landed(room.room, "Al K", then).sketches) == 3


def test_sketches_in_another_unit_than_the_curve_are_not_drawn(room):
    host = guessed(room)
    act(host, "edit", path=["recipe", "scale", "method"], value="area", reason="no step to trust")
    room.room.take(*scan(*FIRED_SCANS[0]))
    assert ghosts(staged(room.room, View("real", "Al K")).figure) == []


def test_an_open_round_is_announced_with_how_many_are_in(room):
    host = guessed(room)
    act(host, "invite-votes", cards=CARDS, reason="time to choose")
    text = host.get("/stage").text
    assert "<b>Draw what you expect:</b> three are in." in text
    assert "<b>Vote:</b> none is in yet." in text


def test_ghosts_are_in_the_drawn_page_as_one_group_that_may_fade(room):
    guessed(room)
    room.room.take(*scan(*FIRED_SCANS[0]))
    text = visitor(room).get("/stage", params={"question": "trust", "edge": "Al K"}).text
    assert 'data-ghosts="3"' in text


def test_only_a_shared_room_shows_a_code_and_its_square(tmp_path, room):
    code = room.doors.join_code
    assert code not in visitor(room, "host").get("/stage").text
    assert "not shared" in visitor(room, "host").get("/stage/join").text
    with house(tmp_path / "shared", RAW_SCANS, lan=True) as shared:
        for address in ("/stage", "/stage/join"):
            text = visitor(shared).get(address).text
            assert shared.doors.join_code in text and "192.0.2.7:8620" in text
            assert 'class="square"' in text
        assert visitor(shared, "stranger").get("/stage/join").status_code == 401


def test_the_square_leads_to_the_door_with_the_code(tmp_path):
    segno = pytest.importorskip("segno")
    with house(tmp_path / "shared", RAW_SCANS, lan=True) as shared:
        text = visitor(shared).get("/stage/join").text
        same = segno.make(f"http://192.0.2.7:8620/join?code={shared.doors.join_code}", micro=False, error="m")
    assert same.svg_inline(border=4, dark="#14201F", light="#F8FAF7", omitsize=True, svgclass="square",
                           lineclass=None) in text  # fmt: skip
