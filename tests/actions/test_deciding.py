"""A vote and a decision enter the book with the cards as they lay on the table."""

import pytest
from practised import begun, files

from edgeshift.actions import deciding
from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.session import Session
from edgeshift.errors import NoteRefused
from edgeshift.records.shift_state import replay

HOST = Who("host", "it settles most")
DESK = steady_desk()


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    with begun(tmp_path_factory.mktemp("shift") / "one", files("AlK")) as folder:
        yield folder


def cards(folder, left=300.0):
    (found,) = answer(Session(folder), "minutes", left=left)
    return found.detail["cards"]


def test_a_vote_keeps_what_was_shown_and_how_many_chose_what(folder):
    shown = cards(folder)
    event = deciding.vote(folder, DESK, Who("host"), {"1": 4, shown[1]["title"].upper(): 7}, 300.0)
    assert event.payload["counts"] == {shown[0]["code"]: 4, shown[1]["code"]: 7}
    assert [card["title"] for card in event.payload["cards"]] == [card["title"] for card in shown]
    assert replay(folder.events()).votes[-1] == event


def test_a_decision_needs_a_reason_and_draws_the_cards_anew(folder):
    before = [card["code"] for card in cards(folder)]
    event = deciding.decide(folder, DESK, HOST, "stop and write", 300.0)
    assert event.payload["chosen"] == "write" and event.payload["minutes_left"] == 300.0
    assert {card["code"] for card in cards(folder)} == set(before)
    assert replay(folder.events()).decisions == (event,)


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (
            lambda *at: deciding.decide(*at, Who("host"), "1", 300.0),
            "the decision: needed a reason, found none",
        ),
        (lambda *at: deciding.decide(*at, HOST, "9", 300.0), "'9': needed one of the cards, found cards 1 "),
        (
            lambda *at: deciding.decide(*at, HOST, "1"),
            "needed cards to choose from, found Cannot tell: nobody said",
        ),
        (lambda *at: deciding.vote(*at, HOST, {"1": 0}, 300.0), "needed a vote for some card, found none"),
        (
            lambda *at: deciding.vote(*at, HOST, {"1": 501}, 300.0),
            "needed 0 to 500 votes for a card, found 501",
        ),
    ],
)
def test_what_cannot_be_noted_is_refused(folder, act, words):
    with pytest.raises(NoteRefused, match=words):
        act(folder, DESK)
