"""One room for all: asked once, told to everybody, and never by two at a time."""

import json

import pytest
from practised import begun, files

from edgeshift.actions import note, showing
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.room import Room
from edgeshift.errors import NoteRefused, QuestionRefused, Refusal
from edgeshift.records.room import View
from edgeshift.wording.plain import as_json

HOST = Who("host", "because we looked")


@pytest.fixture
def room(tmp_path):
    begun(tmp_path / "shift", files("KL") + files("TiL")).close()
    room = Room(tmp_path / "shift", steady_desk("2026-03-02T08:00:00.000Z"))
    yield room
    room.close()


def test_a_question_is_asked_once_until_something_changes(room):
    first = room.ask(View("real"))
    assert room.ask(View("real")) is first
    room.act(note.judge, HOST, "1", "set-aside")
    assert room.ask(View("real")) is not first


def test_everybody_is_told_of_every_act_once(room):
    room.ask(View("real"))
    told = []
    room.listen(told.append)
    room.act(note.write, HOST, "the door was open")
    assert told == [room.revision]


def test_a_refused_act_changes_nothing(room):
    before = room.revision
    with pytest.raises(NoteRefused, match="needed a reason"):
        room.act(note.judge, Who("host", ""), "1", "set-aside")
    assert room.revision == before


def test_questions_that_cannot_be_put_yet_are_none_and_refused_ones_say_why(tmp_path):
    begun(tmp_path / "shift", files("KL")[:1], "question: what is in it?\n").close()
    room = Room(tmp_path / "shift", steady_desk())
    found = room.all_answers()
    assert found["say"] is None
    assert isinstance(found["real"], Refusal)
    assert found["trust"][0].question == "trust"
    room.close()


def test_an_unknown_edge_is_refused(room):
    with pytest.raises(QuestionRefused, match="needed an edge that was scanned"):
        room.ask(View("real", "Fe L"))


def test_behind_the_curtain_the_room_knows_no_arm(room):
    before = room.ask(View("real", "K L"))[0]
    room.act(showing.draw_curtain, HOST)
    text = as_json(room.ask(View("real", "K L")), room.naming())
    assert not {"raw", "fired", "RAW-A"} & set(json.loads(text)[0]["detail"]["units"])
    assert "pit-fired" not in text and "RAW-A" not in text
    assert room.ask(View("real", "K L"))[0].verdict == before.verdict
    assert room.true_name("P-A") in ("RAW-A", "PIT750-A")
    assert room.true_name("P") in ("raw", "fired")
    room.act(showing.open_curtain, HOST)
    assert room.true_name("P-A") == "P-A"


def test_a_rewound_room_knows_what_was_known_then(room):
    then = room.known().state.events[-1].time
    room.act(note.judge, HOST, "1", "set-aside")
    assert room.known(then).state.judgements == {}
    assert room.known().state.judgements


def test_views_of_an_old_state_are_forgotten(room):
    room.view("one", lambda: 1)
    room.act(note.write, HOST, "later")
    assert room.view("one", lambda: 2) == 2
