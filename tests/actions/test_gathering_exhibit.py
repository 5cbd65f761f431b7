"""What an exhibit lets people try was answered by the same questions that people would ask."""

from __future__ import annotations

import pytest
from a_room import HOST
from acted import EVENING, acted
from practised import begun, files

from edgeshift.actions import note
from edgeshift.actions.aside import catch_up
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.gathering import told_of_answer
from edgeshift.actions.gathering_exhibit import MOST_MOMENTS, SLIDES_EV, chosen, gather_hands_on
from edgeshift.actions.room import Room
from edgeshift.actions.showing import draw_curtain
from edgeshift.figures.stations import stations
from edgeshift.publish.hands_on import HandsOn, Tried
from edgeshift.records.answer import QUESTIONS
from edgeshift.records.room import View
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import DeclaredTie
from edgeshift.records.story import StoryMoment

EDGE = "Ti L"


def room_of(place) -> Room:
    return Room(place, steady_desk(EVENING))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("exhibit") / "shift"
    acted(place).close()
    return place


@pytest.fixture(scope="module")
def tries(folder) -> HandsOn:
    room = room_of(folder)
    room.ask(View("real"))  # which takes the looks that are due
    before = len(room.folder.events())
    made = gather_hands_on(room)
    assert len(room.folder.events()) == before, "nothing that is supposed enters the book"
    room.close()
    return made


def tried(tries: HandsOn, words: str, edge: str = EDGE) -> Tried:
    (slid,) = [one for one in tries.slid if one.title.text == edge]
    (found,) = [one for one in slid.tried if one.said.text == words]
    return found


def asked_of(place) -> dict[str | None, list[str]]:
    """What "real" says of every edge of a folder: its sentence and its facts."""
    room = room_of(place)
    told = [told_of_answer(one, room.naming()) for one in room.ask(View("real"))]
    room.close()
    return {one.edge: [one.sentence.text, *(fact.text for fact in one.facts)] for one in told}


def looked(place) -> list[Scan]:
    """Every scan of a folder, once the looks that are due were taken."""
    room = room_of(place)
    room.ask(View("real"))
    scans = [scan for group in room.known().scans.values() for scan in group]
    room.close()
    return scans


def said_of(one: Tried) -> list[str]:
    return [one.told.sentence.text, *(fact.text for fact in one.told.facts)]


def test_nothing_changed_is_the_answer_itself(folder, tries):
    assert said_of(tried(tries, "as it was measured")) == asked_of(folder)[EDGE]


def test_a_slide_says_what_the_question_answers_once_people_tied_the_scans_so(tmp_path, tries):
    desk = steady_desk(EVENING)
    with acted(tmp_path / "shift", desk) as made:
        fired = [scan.key for scan in looked(tmp_path / "shift") if scan.place.arm == "fired"]
        note.tie(made, desk, HOST, DeclaredTie(0.2, 0.0, "supposed", scans=tuple(fired)))
    told = asked_of(tmp_path / "shift")
    for edge in ("K L", EDGE):
        assert said_of(tried(tries, "pit-fired clay 0.20 eV higher", edge)) == told[edge]
    assert told[EDGE] != said_of(tried(tries, "as it was measured"))


def test_a_pair_left_out_says_what_the_question_answers_once_people_set_its_scans_aside(tmp_path, tries):
    desk = steady_desk(EVENING)
    with acted(tmp_path / "shift", desk) as made:
        for scan in looked(tmp_path / "shift"):
            if scan.place.unit in ("raw B", "fired B"):
                note.judge(made, desk, HOST, scan.key, "set-aside")
    assert said_of(tried(tries, "without raw B and fired B")) == asked_of(tmp_path / "shift")[EDGE]


def test_changes_along_the_energy_stand_in_order_around_nothing_changed(tries):
    for slid in tries.slid:
        kinds = [one.kind for one in slid.tried]
        half = len(SLIDES_EV) // 2
        assert kinds[: 2 * half + 1] == ["energy"] * half + ["as-it-is"] + ["energy"] * half
        assert set(kinds[2 * half + 1 :]) == {"without"}


def test_every_moment_has_six_answers_and_the_last_is_the_present(folder, tries):
    assert 1 < len(tries.rewound) <= MOST_MOMENTS
    for one in tries.rewound:
        assert tuple(station.question for station in one.six) == QUESTIONS
    room = room_of(folder)
    catch_up(room, room.session)
    found = {q: a for q, a in room.all_answers().items() if a is not None}
    now = [(s.question, s.state, room.naming()(s.words)) for s in stations(found)]
    room.close()
    assert [(s.question, s.state, s.said.text) for s in tries.rewound[-1].six] == now


def test_an_earlier_moment_knows_less(tries):
    trusted = [next(s for s in one.six if s.question == "trust").said.text for one in tries.rewound]
    assert trusted[0] != trusted[-1]


def test_what_people_said_is_told_with_their_moment(tries):
    assert "the shutter stuck" in [one.own.text for one in tries.rewound if one.own]


def test_the_guess_is_of_an_edge_that_was_compared(tries):
    assert tries.guess.told.text.startswith(f"{tries.guess.edge}: ")
    assert tries.guess.sheet.svg != tries.guess.shown.svg


def test_behind_a_curtain_no_true_name_of_an_arm_is_told(tmp_path):
    desk = steady_desk(EVENING)
    with acted(tmp_path / "shift", desk) as made:
        draw_curtain(made, desk, HOST)
    room = room_of(tmp_path / "shift")
    told = " ".join(said.text for said in gather_hands_on(room).said())
    room.close()
    assert "pit-fired" not in told and "raw A" not in told
    assert " eV higher" in told and "without " in told


def test_a_shift_without_a_comparison_can_still_be_rewound(tmp_path):
    begun(tmp_path / "shift", files("TiL")[:2]).close()
    room = room_of(tmp_path / "shift")
    made = gather_hands_on(room)
    room.close()
    assert made.slid == () or all(one.tried for one in made.slid)
    assert made.rewound


def moments(*kinds: str) -> list[StoryMoment]:
    return [StoryMoment(kind, "2026-03-14T10:00:00Z", kind, lines=(n,)) for n, kind in enumerate(kinds)]


def test_few_moments_are_all_kept_and_of_many_what_people_did_comes_first():
    few = moments("scans", "claim")
    assert chosen(few) == few
    many = moments(*["scans"] * 40, "claim", *["scans"] * 40, "decision", *["scans"] * 40)
    kept = chosen(many)
    assert len(kept) == MOST_MOMENTS and kept[-1] == many[-1]
    assert {"claim", "decision"} <= {one.kind for one in kept}
    assert [one.lines for one in kept] == sorted(one.lines for one in kept)


def test_when_people_did_much_scans_are_still_among_the_moments():
    many = moments(*["scans"] * 40, *["note"] * 60)
    kinds = [one.kind for one in chosen(many)]
    assert len(kinds) == MOST_MOMENTS and 3 < kinds.count("scans") < 9
