"""One room for all: asked once, told to everybody, and never by two at a time."""

import json
import re

import pytest
from a_room import SEAT, SKETCH
from practised import begun, files

from edgeshift.actions import ballots, edit, note, rounds, showing
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.room import Room
from edgeshift.actions.take import take
from edgeshift.errors import NoteRefused, QuestionRefused, Refusal
from edgeshift.folder import watch
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.folder.watch import Running
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
    assert room.true_name("P", "arms") in ("raw", "fired")
    for said, of in (("RAW-A", "specimens"), ("raw", "arms"), ("P", "specimens")):
        with pytest.raises(NoteRefused, match="needed one that the room sees"):
            room.true_name(said, of)
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


@pytest.fixture
def by_hand(room, monkeypatch):
    """Saves another text as an editor does; the room sees it at its next look."""
    monkeypatch.setattr(watch, "EDITED_S", 0.0)
    monkeypatch.setattr(watch, "GONE_S", 0.0)
    path = room.folder.path / "experiment.yaml"

    def save(text: str | None) -> None:
        if text is None:
            path.unlink()
        else:
            path.write_text(text, encoding="utf-8")
        room.refresh()

    return save


def texts(room):
    return [event for event in room.folder.events() if event.kind == "experiment"]


def test_a_recipe_edited_in_an_editor_is_in_force_and_everybody_is_told(room, by_hand):
    before, told = room.ask(View("trust")), []
    room.listen(told.append)
    by_hand(room.known().state.experiment_text + "recipe: {flag: {spike_sigmas: 12}}\n")
    assert (texts(room)[-1].role, texts(room)[-1].reason) == ("host", "changed by hand")
    assert room.known().experiment.recipe.flag.spike_sigmas == 12
    assert room.ask(View("trust"))[0].identity != before[0].identity
    assert told == [room.revision]
    room.refresh()
    assert len(told) == 1 and len(texts(room)) == 2


def test_a_text_that_does_not_hold_is_a_complaint_and_the_old_one_stays_in_force(room, by_hand):
    sound, told = room.known().state.experiment_text, []
    room.listen(told.append)
    by_hand("arms: [")
    assert "experiment.yaml:1: needed valid YAML" in str(room.complaint)
    assert room.known().state.experiment_text == sound and len(texts(room)) == 1 and len(told) == 1
    room.refresh()
    assert len(told) == 1
    by_hand(sound)
    assert room.complaint is None and len(texts(room)) == 1 and len(told) == 2


def test_a_text_that_is_lost_is_written_back(room, by_hand):
    by_hand(None)
    assert "The last accepted text was written back" in str(room.complaint)
    room.refresh()
    assert room.complaint is None


def test_however_much_of_a_text_is_saved_nothing_falls_over(room, by_hand):
    """Every accepted piece holds by itself, every other is a complaint; the whole is in force at last."""
    whole = room.known().state.experiment_text + "recipe: {flag: {spike_sigmas: 12}}\n"
    for end in range(0, len(whole), 97):
        by_hand(whole[:end])
        assert room.complaint or room.known().state.experiment_text == whole[:end]
    by_hand(whole)
    assert room.complaint is None
    assert room.known().state.experiment_text == whole


def test_a_text_that_is_being_saved_is_not_read_yet(room):
    path, before = room.folder.path / "experiment.yaml", len(texts(room))
    path.write_text("question: half", encoding="utf-8")
    room.refresh()
    room.refresh()
    assert len(texts(room)) == before and room.complaint is None


def test_other_arms_wait_until_the_curtain_is_open(room, by_hand):
    room.act(showing.draw_curtain, HOST)
    other = re.sub(r"(name|arm): fired(?=[,}])", r"\1: burnt", room.known().state.experiment_text)
    by_hand(other)
    assert "the arms: needed those behind the curtain, found others" in str(room.complaint)
    room.act(showing.open_curtain, HOST)
    room.refresh()
    assert room.complaint is None
    assert {arm.name for arm in room.known().experiment.arms} == {"raw", "burnt"}


def test_a_text_in_which_scans_could_not_be_read_any_more_is_refused_by_hand_and_on_the_page(room, by_hand):
    sound = room.known().state.experiment_text
    other = sound.replace("{column: energy, unit: eV}", "{column: wavelength, unit: eV}")
    assert other != sound
    by_hand(other)
    assert "wavelength" in str(room.complaint)
    by_hand(sound)
    with pytest.raises(Refusal, match="wavelength"):
        room.act(edit.edit, HOST, other)
    assert room.known().state.experiment_text == sound
    assert room.all_answers()["trust"]


def test_pages_hear_of_a_file_that_grows_now_and_then_and_not_at_every_point(room):
    told = []
    room.listen(told.append)
    for points in range(1, 80):
        room.refresh((Running("0007_KL.dat", 100 * points, 0.1 * points),))
    assert len(told) == 4
    room.refresh(())
    assert len(told) == 5


def elsewhere(room, name, data):
    """Another process takes a file into the same folder."""
    with ExperimentFolder.open(room.folder.path) as folder:
        (taken,) = take(folder, [(name, data)], room.desk)
    return taken.scans[0]


def opened_and_met(room):
    events = [e.payload for e in room.folder.events() if e.kind == "round"]
    return [(payload["state"], payload.get("met")) for payload in events]


def test_a_scan_that_another_process_took_closes_the_sketches_once(room):
    room.act(rounds.open_guess_round, HOST, "Al K")
    room.refresh()
    assert opened_and_met(room) == [("open", None)]
    scan = elsewhere(room, *files("AlK")[0])
    room.refresh()
    elsewhere(room, *files("AlK")[1])
    room.refresh()
    assert opened_and_met(room) == [("open", None), ("closed", scan)]
    assert not room.known().state.rounds["guess-1"].is_open


def test_nobody_guesses_what_landed_before_the_room_has_read_of_it(room):
    room.act(rounds.open_guess_round, HOST, "Al K")
    elsewhere(room, *files("AlK")[0])
    with pytest.raises(NoteRefused, match="needed an open round"):
        room.act(ballots.guess, HOST, SKETCH, SEAT)


def test_a_scan_that_landed_while_no_room_was_open_closes_the_sketches_at_its_start(room):
    room.act(rounds.open_guess_round, HOST, "Al K")
    scan = elsewhere(room, *files("AlK")[0])
    again = Room(room.folder.path, room.desk)
    assert opened_and_met(again) == [("open", None), ("closed", scan)]
    again.close()


def test_a_scan_of_another_edge_leaves_the_sketches_open(room):
    room.act(rounds.open_guess_round, HOST, "Al K")
    elsewhere(room, *files("SiK")[0])
    room.refresh()
    assert opened_and_met(room) == [("open", None)]
