"""Ballots on paper: what is printed, for whom, and how they are counted in."""

from __future__ import annotations

import pytest
from a_house import CARDS, RAW_SCANS, act, house, visitor


@pytest.fixture
def room(tmp_path):
    with house(tmp_path / "shift", RAW_SCANS) as there:
        yield there


@pytest.fixture
def host(room):
    return visitor(room, "host")


def test_only_the_host_prints_ballots(room):
    assert visitor(room).get("/print/ballots").status_code == 403


def test_each_ballot_stands_twice_on_its_sheet(host):
    act(host, "invite-guesses", edge="Al K", reason="before we look")
    act(host, "invite-votes", cards=CARDS, reason="time to choose")
    text = host.get("/print/ballots").text
    assert text.count("<section>") == 3
    assert text.count("<article>") == 6
    assert text.count("one more fired pot</b>") == 2
    assert "0.71" not in text


def test_minutes_are_whole_on_paper_and_on_a_phone(room, host):
    cards = [{**CARDS[0], "minutes": 7.67725}, *CARDS[1:]]
    act(host, "invite-votes", cards=cards, reason="time to choose")
    for text in (host.get("/print/ballots").text, visitor(room).get("/pocket").text):
        assert "8 min" in text and "7.677" not in text


def test_a_guess_can_be_printed_for_any_edge(host):
    text = host.get("/print/ballots", params={"edge": "O K"}).text
    assert "A trace of O K is next." in text


def test_ballots_are_printed_in_ink_alone(host):
    act(host, "invite-guesses", edge="Al K", reason="before we look")
    text = host.get("/print/ballots", params={"room": "dark"}).text
    assert "#173C7D" not in text and "#A94410" not in text and "#10191A" not in text


def test_sheets_become_seats_of_their_own_and_a_second_count_replaces_the_first(room, host):
    act(host, "invite-votes", cards=CARDS, reason="time to choose")
    act(visitor(room), "vote", card="stop and write")
    act(host, "paper-votes", counts={"stop and write": 2, "one more fired pot": 4}, reason="counted on paper")
    act(host, "paper-votes", counts={"one more fired pot": 3}, reason="counted again")
    chosen = sorted(room.room.known().state.rounds["vote-1"].votes.values())
    assert chosen == ["one more fired pot"] * 3 + ["stop and write"]


@pytest.mark.parametrize("counts", [{"stop and write": -1}, {"stop and write": 500}, {"another": 1}, {}])
def test_a_count_that_cannot_be_is_refused(host, counts):
    act(host, "invite-votes", cards=CARDS, reason="time to choose")
    act(host, "paper-votes", 422, counts=counts, reason="counted on paper")


def test_a_guest_enters_no_paper(room, host):
    act(host, "invite-votes", cards=CARDS, reason="time to choose")
    act(visitor(room), "paper-votes", 403, counts={"stop and write": 2})
