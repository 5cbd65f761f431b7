"""Amounts between arms are judged by looks that stand in the book, like the third rung."""

from __future__ import annotations

import pytest
from practised import begun, files

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.session import Session
from edgeshift.actions.take import take

LAST = (b"RAW-C", b"PIT750-C")


@pytest.fixture
def shift(tmp_path):
    """Pairs A and B of a practice shift at two edges, and the files of pair C."""
    every = files("AlK") + files("FeL")
    late = [one for one in every if any(name in one[1] for name in LAST)]
    desk = steady_desk()
    with begun(tmp_path / "shift", [one for one in every if one not in late], desk=desk) as folder:
        yield Session(folder, desk), late, desk


def looks(session) -> list[tuple]:
    events = [event.payload for event in session.folder.events() if event.kind == "look"]
    return [(told["edge"], told["units"]) for told in events if told["question"] == "here"]


def iron(session, **more) -> dict:
    (found,) = answer(session, "here", against="Al", **more)
    (told,) = [each for each in found.detail["amounts"]["arms"] if each["element"] == "Fe"]
    return told


def test_each_new_complete_pair_is_one_line_of_the_book_and_asking_again_is_none(shift):
    session, late, desk = shift
    first = iron(session)
    assert iron(session) == first and looks(session) == [("Fe/Al", 2)]
    assert (first["looks"], first["units"]) == (1, (2, 2))
    take(session.folder, late[:1], desk)
    assert iron(session) == first, "half a pair is no look, and nothing that came since is judged"
    take(session.folder, late[1:], desk)
    then = iron(session)
    assert looks(session) == [("Fe/Al", 2), ("Fe/Al", 3)]
    assert (then["looks"], then["units"]) == (2, (3, 3))
    assert then["level"] == pytest.approx(first["level"]), "an equal share each"


def test_looks_at_amounts_spend_nothing_of_the_third_rung(shift):
    session, _, _ = shift
    before = answer(session, "real", "Fe L")[0].detail["levels"]
    iron(session)
    assert answer(session, "real", "Fe L")[0].detail["levels"] == before


def test_a_question_about_an_earlier_moment_takes_no_look(shift):
    session, _, _ = shift
    last = session.known().state.events[-1].time
    told = iron(session, until=last)
    assert (told["state"], told["why"]) == ("waits", "not-looked") and looks(session) == []
