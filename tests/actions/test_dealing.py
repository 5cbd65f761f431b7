"""The cards of "What shall our minutes buy?" are what a vote is held on."""

import pytest
from practised import begun, files

from edgeshift.actions.ask import answer
from edgeshift.actions.ballots import vote
from edgeshift.actions.dealing import open_dealt_round
from edgeshift.actions.deciding import decide
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.rounds import close_round
from edgeshift.actions.session import Session
from edgeshift.errors import NoteRefused
from edgeshift.records.shift_state import replay

HOST = Who("host", "it settles most")
DESK = steady_desk()
SEAT = "0badcafe0badcafe"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    with begun(tmp_path_factory.mktemp("shift") / "one", files("AlK")) as folder:
        yield folder


def test_a_vote_lies_on_the_cards_of_the_answer_and_a_decision_takes_its_minutes(folder):
    (found,) = answer(Session(folder), "minutes", left=300.0)
    shown = {card["title"]: card for card in found.detail["cards"]}
    name = open_dealt_round(folder, DESK, HOST, 300.0, "what now?").payload["round"]
    there = replay(folder.events()).rounds[name]
    assert there.about == "what now?" and {card.title for card in there.cards} == set(shown)
    for card in there.cards:
        same = shown[card.title]
        assert (card.minutes, card.settles, card.cannot_fix) == tuple(
            same[part] for part in ("minutes", "settles", "cannot_fix")
        )
        assert card.predicted_ratio == same["predicted_ratio"]
    vote(folder, DESK, Who("student"), "Stop and write", SEAT)
    close_round(folder, DESK, HOST, name)
    decide(folder, DESK, HOST, "Stop and write", name=name)
    assert replay(folder.events()).decisions[-1].minutes == shown["Stop and write"]["minutes"]
    (after,) = answer(Session(folder), "minutes", left=300.0)
    assert after.detail["round"] == 1 and {c["title"] for c in after.detail["cards"]} == set(shown)


def test_without_cards_there_is_no_vote_and_it_says_why(folder):
    before = len(folder.events())
    with pytest.raises(NoteRefused, match="the vote: needed cards to choose from, found Cannot tell: nobody"):
        open_dealt_round(folder, DESK, HOST)
    assert len(folder.events()) == before
