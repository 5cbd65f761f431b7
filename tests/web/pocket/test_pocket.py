"""The Pocket: what a guest sees and does, what stays hidden while rounds are open, and what it weighs."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from a_house import CARDS, FIRED_SCANS, RAW_SCANS, SKETCH, TEXT, act, house, scan, visitor

from edgeshift.actions.expecting import guess_sheet
from edgeshift.wording.glossary import ENTRIES

MOST_BYTES = 150_000
"""The first load of a phone, on the wire."""


@pytest.fixture
def room(tmp_path):
    with house(tmp_path / "shift", RAW_SCANS) as there:
        yield there


@pytest.fixture
def host(room):
    return visitor(room, "host")


@pytest.fixture
def guest(room):
    return visitor(room)


def invite(host):
    act(host, "invite-guesses", edge="Al K", specimen="FIRED-C", reason="before we look")


def poll(host, **more):
    return act(host, "invite-votes", cards=CARDS, reason="time to choose", **more)


def page(client, **query):
    reply = client.get("/pocket", params=query)
    assert reply.status_code == 200
    return reply.text


def test_a_stranger_is_sent_to_the_door(room):
    assert visitor(room, "stranger").get("/pocket").status_code == 401


def test_without_a_round_the_page_says_so_and_shows_the_stage(guest):
    text = page(guest)
    assert "Nothing to draw or vote on now." in text
    assert "On the Stage now" in text
    assert "data-pad" not in text


def test_an_open_guess_shows_the_measured_control_and_how_many_are_in(host, guest, room):
    invite(host)
    act(guest, "guess", points=SKETCH)
    text = page(visitor(room))
    assert "FIRED-C at Al K is next." in text
    assert "raw clay, measured" in text
    assert "One is in." in text
    assert text.count("<i></i>") == 1


def test_a_seat_finds_its_own_sketch_again_and_no_other_does(host, guest, room):
    invite(host)
    act(guest, "guess", points=SKETCH)
    assert 'data-sent="[[1560.0, 0.0]' in page(guest)
    assert 'data-sent=""' in page(visitor(room))


def test_no_page_of_a_guest_tells_a_seat(host, guest, room):
    invite(host)
    poll(host)
    act(guest, "guess", points=SKETCH)
    act(guest, "vote", card="stop and write")
    seat = next(iter(room.room.known().state.rounds["guess-1"].guesses))
    assert seat not in page(guest) + page(visitor(room))


def test_the_drawing_area_carries_the_numbers_that_turn_pixels_into_energies(host, guest):
    invite(host)
    text = page(guest)
    frame = re.search(r"<rect[^>]*data-plot=[^>]*>", text)[0]
    assert all(f"data-{name}=" in frame for name in ("low", "high", "left", "right"))
    assert "data-value-top=" in text


def test_a_control_that_was_measured_alone_is_shown_without_a_band(room, host):
    sheet = guess_sheet(room.room, "Al K")
    assert sheet.unit == "step"
    assert sheet.figure.panels[0].strips[0].marks[-1].words.endswith("no band")


def test_an_edge_that_nobody_measured_gets_an_empty_frame_about_its_tabulated_energy(room):
    plot = guess_sheet(room.room, "O K").figure.panels[0]
    assert plot.strips[0].marks == ()
    assert plot.ruler.low < 543 < plot.ruler.high


def test_while_a_vote_is_open_neither_counts_nor_gains_are_told(host, guest):
    poll(host)
    act(guest, "vote", card="stop and write")
    text = page(guest)
    assert "One is in." in text
    assert "1 vote" not in text
    assert "0.71" not in text


def test_a_closed_vote_tells_its_counts_and_gains(host, guest):
    poll(host)
    act(guest, "vote", card="stop and write")
    act(host, "round", round="vote-1", state="closed", reason="enough")
    text = page(guest)
    assert "1 vote<" in text and "0 votes<" in text
    assert "about 0.71 times" in text


def test_a_vote_can_be_changed_and_the_page_shows_ones_own(host, guest):
    poll(host)
    act(guest, "vote", card="stop and write")
    act(guest, "vote", card="one more fired pot")
    chosen = re.findall(r'value="([^"]+)"[^>]* checked', page(guest))
    assert chosen == ["one more fired pot"]


def test_a_claim_is_said_in_ones_own_words_and_taken_back_with_a_reason(guest, room):
    act(guest, "claim", claim="it <b>moved</b>", level=3, reason="both did", unless="the beam did it")
    text = page(guest)
    assert "it &lt;b&gt;moved&lt;/b&gt;" in text and "the beam did it" in text
    assert "the beam did it" not in page(visitor(room))
    number = room.room.known().state.claims[0].number
    act(guest, "take-back-claim", number=number, reason="too loud")
    assert "taken back" in page(guest)


def test_behind_the_curtain_no_page_names_an_arm_and_a_hidden_card_can_still_be_chosen(host, guest, room):
    room.room.take(*scan(*FIRED_SCANS[0]))
    invite(host)
    poll(host, about="raw or fired?")
    act(host, "curtain", drawn=True)
    text = page(guest)
    for secret in ("raw clay", "fired", "FIRED-C", "RAW-A"):
        assert secret not in text
    hidden = next(
        title for title in re.findall(r'name="card" value="([^"]+)"', text) if title != "stop and write"
    )
    act(guest, "vote", card=hidden)
    assert set(room.room.known().state.rounds["vote-1"].votes.values()) == {"one more fired pot"}
    refusal = act(guest, "vote", 422, card="another")
    assert "fired" not in str(refusal)


def test_words_of_the_glossary_in_the_sentence_can_be_touched_and_are_explained(room, host):
    for each in FIRED_SCANS:
        room.room.take(*scan(*each))
    text = page(host, question="trust")
    key = re.search(r'data-word="([^"]+)">scans</button>', text)[1]
    assert f'id="word-{key}"' in text


def test_every_word_is_explained_in_at_most_two_sentences():
    assert [e.word for e in ENTRIES if len(re.findall(r"[.?!](?=\s|$)", e.meaning)) > 2] == []
    assert len({entry.key for entry in ENTRIES}) == len(ENTRIES)


def test_the_first_load_weighs_less_than_150_kilobytes(host, guest, room):
    for each in FIRED_SCANS:
        room.room.take(*scan(*each))
    invite(host)
    poll(host)
    total, seen, waiting = 0, set(), ["/pocket"]
    while waiting:
        address = waiting.pop()
        with guest.stream("GET", address) as reply:
            packed = b"".join(reply.iter_raw())
        assert reply.status_code == 200
        assert reply.headers["content-encoding"] == "gzip"
        total += len(packed)
        found = re.findall(r"(?:href|src)=\"(/a/[^\"]+)|url\((/a/[^)]+)\)", guest.get(address).text)
        fresh = {one or other for one, other in found} - seen
        seen |= fresh
        waiting += sorted(fresh)
    assert len(seen) >= 8
    assert total < MOST_BYTES


def test_nothing_on_the_page_needs_a_weaker_content_policy(host, guest):
    invite(host)
    poll(host)
    text = page(guest)
    assert " style=" not in text and "<style" not in text
    assert not re.search(r"<script(?![^>]*src=)|\son[a-z]+=", text)


def test_every_field_has_a_label(host, guest):
    invite(host)
    poll(host)
    act(guest, "claim", claim="it moved", level=2)
    text = page(guest)
    labelled = set(re.findall(r'<label for="([^"]+)"', text))
    for field in re.findall(r"<(?:input|textarea)[^>]*>", text):
        if 'type="hidden"' in field or 'type="radio"' in field:
            continue
        assert re.search(r'id="([^"]+)"', field)[1] in labelled


def test_cards_of_the_answer_are_the_hosts_until_a_vote_is_opened_on_them(tmp_path):
    ends = datetime.now(UTC) + timedelta(hours=5)
    day = TEXT + f"day: {{ends: '{ends.isoformat(timespec='seconds')}'}}\n"
    with house(tmp_path / "shift", [*RAW_SCANS, *FIRED_SCANS], text=day) as there:
        host, guest = visitor(there, "host"), visitor(there)
        asked, drawn = "/api/answers?question=minutes", "/api/picture?question=minutes"
        (cards,) = [one["detail"]["cards"] for one in host.get(asked).json()]
        assert len(cards) >= 2 and cards[0]["title"] in host.get("/wing/look?question=minutes").text
        assert guest.get(asked).json()[0]["detail"]["cards"] == []
        for page in ("/stage?question=minutes", "/pocket?question=minutes", drawn):
            reply = guest.get(page)
            assert reply.status_code == 200 and cards[0]["title"] not in reply.text
        act(host, "invite-votes", reason="time to choose")
        assert guest.get(asked).json()[0]["detail"]["cards"] == cards
        stage = guest.get("/stage?question=minutes").text
        assert all(card["title"].split()[0] in stage for card in cards)
        assert {card["title"] for card in cards} == {
            card.title for card in there.room.known().state.rounds["vote-1"].cards
        }
