"""Strangers read the door, guests take part, the host on the host's own machine changes the rest."""

import pytest
from web.houses import HERE, KEY, OTHER, OWN, house, visitor

from edgeshift.web.access import COOKIE, Doors, Limit, Visitor
from edgeshift.web.app import DOORS

EXAMPLES = {
    "/api/answers": {"question": "trust"},
    "/api/picture": {"question": "trust"},
    "/api/tables": {"question": "trust"},
}


@pytest.fixture
def open_house(tmp_path):
    with house(tmp_path) as made:
        yield made


def asked(client, door):
    """What the door answers to somebody who sends nothing but what it must have."""
    path = door.path.format(mark="0", name="none", word="none")
    if door.method == "GET":
        return client.get(path, params=EXAMPLES.get(door.path, {}))
    return client.post(path, json={})


def test_every_door_is_closed_to_whoever_has_not_its_rank(open_house):
    for rank in ("stranger", "guest"):
        client = visitor(open_house, rank)
        for door in DOORS:
            if door.kind == "stream" or Visitor(rank, "0").may(door.needs):
                continue
            reply = asked(client, door)
            assert reply.status_code == (401 if rank == "stranger" else 403), (rank, door.path)


def test_every_door_answers_its_own_rank(open_house):
    for rank in ("guest", "host"):
        client = visitor(open_house, rank)
        for door in DOORS:
            if door.kind == "stream" or not Visitor(rank, "0").may(door.needs):
                continue
            reply = asked(client, door)
            assert reply.status_code not in (401, 500), (rank, door.path, reply.text)


def test_acts_of_the_host_are_all_for_the_host_alone():
    open_to_guests = {door.path for door in DOORS if door.method == "POST" and door.needs == "guest"}
    assert open_to_guests == {"/api/guess", "/api/vote", "/api/claim", "/api/take-back-claim", "/api/shy"}
    assert {d.path for d in DOORS if d.method == "POST" and d.needs == "stranger"} == {"/api/join"}


def test_a_host_s_ticket_opens_nothing_from_another_machine(open_house):
    client = visitor(open_house, "host", OTHER)
    assert client.get("/api/state").status_code == 401
    assert client.post("/api/write", json={"text": "I am elsewhere"}).status_code == 401


def test_a_ticket_of_another_room_or_a_changed_one_opens_nothing(open_house):
    client = visitor(open_house, "stranger")
    for ticket in (Doors(KEY, "another room", "2026-03-02").ticket("guest"), "host", "a.b.c"):
        client.cookies.set(COOKIE, ticket)
        assert client.get("/api/state").status_code == 401


def test_a_guest_joins_by_the_code(open_house):
    client = visitor(open_house, "stranger")
    reply = client.post("/api/join", json={"code": open_house.doors.join_code})
    assert reply.json() == {"next": "/pocket"}
    assert "HttpOnly" in reply.headers["set-cookie"] and "SameSite=strict" in reply.headers["set-cookie"]
    assert client.get("/api/state").status_code == 200


def test_a_wrong_code_is_refused_in_a_sentence_and_not_for_ever(open_house):
    client = visitor(open_house, "stranger")
    wrong = f"{(int(open_house.doors.join_code) + 1) % 1_000_000:06d}"
    for _ in range(8):
        reply = client.post("/api/join", json={"code": wrong})
        assert (reply.status_code, reply.json()["refused"][:25]) == (403, "That is not the code on t")
    assert client.post("/api/join", json={"code": wrong}).status_code == 429


def test_the_code_stays_for_the_day_and_the_host_s_word_does_not():
    first, again = Doors(KEY, "room", "2026-03-01"), Doors(KEY, "room", "2026-03-01")
    assert first.join_code == again.join_code
    assert first.host_word != again.host_word
    assert first.join_code != Doors(KEY, "other", "2026-03-01").join_code
    assert first.visitor(again.ticket("guest"), OTHER[0]).rank == "guest"


def test_the_host_comes_in_by_the_word_in_the_terminal(open_house):
    client = visitor(open_house, "stranger", OWN)
    assert client.get("/host/guessed").status_code == 403
    reply = client.get(f"/host/{open_house.doors.host_word}")
    assert (reply.status_code, reply.headers["location"]) == (303, "/wing")
    assert client.post("/api/write", json={"text": "here I am"}).status_code == 200


def test_the_host_s_word_is_worth_nothing_elsewhere(open_house):
    client = visitor(open_house, "stranger", OTHER)
    assert client.get(f"/host/{open_house.doors.host_word}").status_code == 403


def test_a_notebook_shows_the_host_s_word(open_house):
    client = visitor(open_house, "stranger", OWN)
    del client.headers["origin"]
    word = {"authorization": f"Bearer {open_house.doors.host_word}"}
    assert client.get("/api/state", headers=word).status_code == 200
    assert client.post("/api/write", json={"text": "from a notebook"}, headers=word).status_code == 200
    assert client.get("/api/state", headers={"authorization": "Bearer guessed"}).status_code == 401


def test_the_hosts_word_has_no_seat_and_is_told_that_guests_vote(open_house):
    word = {"authorization": f"Bearer {open_house.doors.host_word}"}
    client = visitor(open_house, "stranger", OWN)
    del client.headers["origin"]
    for kind, body in (("vote", {"card": "stop and write"}), ("guess", {"points": [[1560, 0], [1566, 1]]})):
        reply = client.post(f"/api/{kind}", json=body, headers=word)
        assert reply.status_code == 422 and "Only guests sketch and vote" in reply.json()["refused"]


def test_an_act_from_another_page_is_refused(open_house):
    client = visitor(open_house, "host")
    for origin in ("http://evil.example", "null", HERE.replace("8620", "8621")):
        reply = client.post("/api/write", json={"text": "x"}, headers={"origin": origin})
        assert reply.status_code == 403
    del client.headers["origin"]
    assert client.post("/api/write", json={"text": "x"}).status_code == 403


def test_another_host_s_name_is_refused(open_house):
    client = visitor(open_house, "host")
    assert client.get("/api/state", headers={"host": "evil.example"}).status_code == 400
    assert client.get("/api/state", headers={"host": "127.0.0.1.evil.example:8620"}).status_code == 400


def test_acts_that_are_no_json_are_refused(open_house):
    client = visitor(open_house, "host")
    assert client.post("/api/write", data={"text": "x"}).status_code == 415
    reply = client.post("/api/write", content=b"{", headers={"content-type": "application/json"})
    assert reply.status_code == 422


def test_more_than_an_act_may_hold_is_refused(open_house):
    assert visitor(open_house, "guest").post("/api/shy", json={"text": "x" * 60_000}).status_code == 413
    assert visitor(open_house, "host").post("/api/write", json={"text": "x" * 1_200_000}).status_code == 413


def test_a_seat_that_acts_too_often_waits(open_house):
    client = visitor(open_house, "guest")
    codes = [client.post("/api/shy", json={"text": "why?"}).status_code for _ in range(70)]
    assert codes[-1] == 429


def test_a_limit_forgets_after_a_while_and_stays_small():
    now = [0.0]
    limit = Limit(2, 10.0, clock=lambda: now[0], keys=3)
    assert [limit.passes("a") for _ in range(3)] == [True, True, False]
    now[0] = 11.0
    assert limit.passes("a")
    for key in "bcdefgh":
        limit.passes(key)
    assert len(limit._seen) == 3


def test_every_reply_carries_the_rules_of_the_house(open_house):
    for path in ("/join", "/api/state", "/stage", "/nowhere"):
        reply = visitor(open_house, "host").get(path)
        rules = reply.headers["content-security-policy"]
        assert "default-src 'none'" in rules and "unsafe" not in rules
        assert reply.headers["cache-control"] == "no-store"
        assert reply.headers["x-content-type-options"] == "nosniff"


def test_nothing_reaches_outside_what_is_listed(open_house):
    client = visitor(open_house, "host")
    for path in (
        "/../etc/passwd",
        "/a/0/../../etc/passwd",
        "/experiment.yaml",
        "/raw/0001_KL.dat",
        "/book.sqlite",
    ):
        assert client.get(path).status_code == 404
