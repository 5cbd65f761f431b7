"""Slow questions are answered aside: a page shows the last answer, and says of which scan it is."""

import time

import pytest
from practised import begun, files, made

from edgeshift.actions import claims, note, showing
from edgeshift.actions.aside import Aside, catch_up
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.room import SLOW, Room
from edgeshift.actions.session import Session
from edgeshift.actions.staging import staged
from edgeshift.figures.stations import stations
from edgeshift.records.answer import QUESTIONS
from edgeshift.records.room import View

HOST = Who("host", "because we looked")
STUDENT = Who("student")
HERE, SAY = View("here"), View("say")
ENDING = made().experiment_text + "day: {ends: '2026-03-14T20:00:00+01:00'}\n"


@pytest.fixture
def room(tmp_path):
    begun(tmp_path / "shift", files("KL")[:-1]).close()
    room = Room(tmp_path / "shift", steady_desk("2026-03-02T08:00:00.000Z"))
    yield room
    room.close()


@pytest.fixture
def reader(room):
    with room.desk.open(room.folder.path) as folder:
        yield Session(folder, room.desk)


def test_before_the_first_answer_there_is_none_and_no_page_waits(room):
    assert room.latest(HERE) is None and room.all_answers()["here"] is None
    assert staged(room, HERE).answer is None


def test_until_the_first_answer_a_page_says_that_it_is_being_asked(room, reader):
    assert not room.is_being_asked("here")  # nobody answers aside
    room.answered_aside = True
    assert [one for one in QUESTIONS if room.is_being_asked(one)] == ["here", "say"]
    assert "being asked" in staged(room, HERE).sentence
    assert stations(room.all_answers(), asking=["here"])[1].words == "being asked"
    catch_up(room, reader)
    assert not room.is_being_asked("here") and not room.is_being_asked("say")


def test_where_nothing_can_be_asked_nobody_is_told_to_wait(tmp_path):
    begun(tmp_path / "none", []).close()
    room = Room(tmp_path / "none", steady_desk())
    room.answered_aside = True
    assert not room.is_being_asked("here")
    room.take(*files("KL")[0])
    assert room.is_being_asked("here")
    told = []
    room.listen(told.append)
    room.asked_in_vain("here")
    room.asked_in_vain("here")
    assert not room.is_being_asked("here") and len(told) == 1
    (blank,) = staged(room, HERE).figure.panels
    assert "first scan" not in blank.act and blank.act
    room.close()


def test_what_was_answered_aside_is_what_the_room_would_have_answered(room, reader):
    catch_up(room, reader)
    assert room.is_fresh(HERE)
    kept = room.latest(HERE)
    assert "as_of" not in kept[0].detail and room.ask(HERE) is kept
    fresh = Room(room.folder.path, room.desk)
    assert fresh.ask(HERE) == kept
    fresh.close()


def test_everybody_is_told_once_and_nothing_is_asked_twice(room, reader):
    told = []
    room.listen(told.append)
    catch_up(room, reader)
    kept = room.latest(HERE)
    catch_up(room, reader)
    assert len(told) == len(SLOW) and told[-1] == room.revision and room.latest(HERE) is kept


def test_an_older_answer_says_of_which_scan_it_is_until_the_room_has_caught_up(room, reader):
    catch_up(room, reader)
    last = list(room.known().state.arrivals)[-1]
    name, data = files("KL")[-1]
    room.take(name, data)
    assert not room.is_fresh(HERE)
    assert room.latest(HERE)[0].detail["as_of"] == last
    assert "as of scan " in staged(room, HERE).invitation[0]
    catch_up(room, reader)
    assert "as_of" not in room.latest(HERE)[0].detail and staged(room, HERE).invitation == ()


def test_what_bears_on_no_answer_makes_none_older(room, reader):
    catch_up(room, reader)
    room.act(note.write, HOST, "the door was open")
    assert room.is_fresh(HERE)


def test_an_answer_from_before_the_curtain_was_drawn_is_shown_no_more(room, reader):
    catch_up(room, reader)
    room.act(showing.draw_curtain, HOST)
    assert room.latest(HERE) is None
    catch_up(room, reader)
    assert "RAW-" not in repr(room.latest(HERE)) and "P-" in repr(room.latest(HERE))


def test_a_room_that_rests_is_answered_by_itself(room, monkeypatch):
    monkeypatch.setattr("edgeshift.actions.aside.QUIET_S", 0.01)
    aside = Aside(room)
    aside.start()
    until = time.monotonic() + 30
    while room.latest(HERE) is None and time.monotonic() < until:
        time.sleep(0.02)
    aside.stop()
    assert room.latest(HERE)[0].verdict in ("answered", "partly")


def test_cards_go_by_what_was_named_last_and_wait_for_nothing(tmp_path):
    """Titanium scanned to its first line alone stays open; the room's cards say so once that was answered."""

    def cut(data):
        rows = data.decode().splitlines(keepends=True)
        return "".join(row for row in rows if row[0] == "#" or float(row.split()[0]) <= 463.0).encode()

    begun(tmp_path / "short", [(name, cut(data)) for name, data in files("TiL")], ENDING).close()
    room = Room(tmp_path / "short", steady_desk("2026-03-14T16:30:00.000+01:00"))
    cards = View("minutes")
    before = {card["code"] for card in room.latest(cards)[0].detail["cards"]}
    with room.desk.open(room.folder.path) as folder:
        catch_up(room, Session(folder, room.desk))
    after = {card["code"] for card in room.latest(cards)[0].detail["cards"]}
    room.close()
    assert "open/Ti" not in before and "open/Ti" in after


def test_a_claim_is_tried_aside_and_no_page_waits_for_it(room, reader):
    room.act(claims.claim, STUDENT, claims.Said("potassium is here", 1, edge="K L"))
    assert room.latest(SAY) is None
    catch_up(room, reader)
    (kept,) = room.latest(SAY)
    assert kept.verdict == "carried" and kept.detail["survives"]["tried"] > 4
    assert staged(room, SAY).answer is kept
    room.act(claims.claim, STUDENT, claims.Said("so it is", 0, edge="K L"))
    assert not room.is_fresh(SAY) and len(room.latest(SAY)) == 1
    catch_up(room, reader)
    assert len(room.latest(SAY)) == 2
