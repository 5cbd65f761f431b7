"""The story on the page: for guests too, rewound, behind the curtain, in the room's language."""

import re

import pytest
from acted import NOTED, SAID, acted
from web.houses import HERE, KEY, house, visitor

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.room import Room
from edgeshift.web.access import Doors
from edgeshift.web.house import House


@pytest.fixture
def there(tmp_path):
    acted(tmp_path / "shift").close()
    room = Room(tmp_path / "shift", steady_desk("2026-03-14T23:00:00.000Z"))
    yield House(room, Doors(KEY, "test", "2026-03-02"), (HERE,), True)
    room.close()


def test_a_guest_reads_what_was_done_and_found(there):
    page = visitor(there, "guest").get("/story").text
    assert page.count("<h1") == 1 and "Does our pit fire change the clay" in page
    assert SAID in page and NOTED in page
    assert "Scan 2 set aside by the host." in page
    assert "What the answers say" in page and "No difference shown" in page


def test_a_stranger_joins_first(there):
    assert visitor(there, "stranger").get("/story").status_code in (302, 303, 307, 401)
    assert visitor(there, "stranger").get("/api/story").status_code == 401


def test_every_moment_leads_back_to_itself(there):
    guest = visitor(there, "guest")
    page = guest.get("/story").text
    first = re.search(r'data-kind="aside"><a href="([^"]+)"', page)[1].replace("&amp;", "&")
    then = guest.get(first).text
    assert "The story as it stood at" in then and 'data-key="Escape"' in then
    assert "Scan 2 set aside" in then and SAID not in then


def test_the_same_as_data_is_a_list_of_one(there):
    (told,) = visitor(there, "guest").get("/api/story", params={"whole": "1"}).json()
    assert {one["kind"] for one in told["moments"]} >= {"scans", "aside", "vote", "decision", "claim", "note"}
    assert told["until"] is None and told["left_out"] == 0


def test_an_impossible_time_is_refused_in_words(there):
    reply = visitor(there, "guest").get("/api/story", params={"until": "noon"})
    assert reply.status_code == 422 and "needed ISO 8601" in reply.json()["refused"]


def test_behind_the_curtain_neither_page_nor_data_names_an_arm(there):
    host, guest = visitor(there, "host"), visitor(there, "guest")
    assert host.post("/api/curtain", json={"drawn": True}).status_code == 200
    for told in (guest.get("/story?whole=1").text, guest.get("/api/story?whole=1").text):
        assert "Curtain drawn." in told
        assert not re.search(r"raw clay|fired|PIT750|RAW-A", told)


def test_the_frame_speaks_french_and_its_sentences_are_marked_as_english(there):
    page = visitor(there, "guest").get("/story?lang=fr").text
    assert "Ce que disent les réponses" in page
    assert '<ol lang="en">' in page


def test_nothing_yet_is_said(tmp_path):
    with house(tmp_path, raw=[]) as empty:
        assert "Nothing has happened yet." in visitor(empty, "guest").get("/story").text
