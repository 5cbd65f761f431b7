"""Behind the curtain what is pointed at, read as a table or heard is called P and Q, like all else."""

import json
import re

import pytest
from veiled_shifts import World, opened
from web.houses import HERE, KEY, house, visitor

from edgeshift.actions import ballots, claims, deciding, edit, note, rounds, showing, shy, slots
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.room import Room
from edgeshift.errors import TextRefused
from edgeshift.folder.watch import Running
from edgeshift.records.event import Event
from edgeshift.records.room import Card, View
from edgeshift.web import access
from edgeshift.web.access import Doors
from edgeshift.web.app import DOORS
from edgeshift.web.house import House

PATH = "question=real&edge=Ti+L"
ARMS = ("raw clay", "pit-fired clay")


@pytest.fixture
def rooms(tmp_path):
    with house(tmp_path) as made:
        yield visitor(made, "host"), visitor(made, "guest")


def test_the_numbers_and_the_lines_a_script_reads_are_called_p_and_q(rooms):
    host, guest = rooms
    before = guest.get(f"/api/tables?{PATH}&full=1").json()
    assert set(ARMS) <= set(before[0]["columns"])
    assert host.post("/api/curtain", json={"drawn": True}).status_code == 200
    behind = guest.get(f"/api/tables?{PATH}&full=1").json()
    assert {"P", "Q", "P, low", "Q, high"} <= set(behind[0]["columns"])
    page = guest.get(f"/stage?{PATH}").text
    assert {"P", "Q"} <= set(re.findall(r'data-name="([^"]+)"', page))
    assert {"p", "q"} <= set(re.findall(r'data-series="([^"]+)"', page))
    for arm in ARMS:
        assert arm not in page and arm not in json.dumps(behind)


def test_a_window_of_a_picture_is_behind_the_curtain_too(rooms):
    host, guest = rooms
    host.post("/api/curtain", json={"drawn": True})
    reply = guest.get(f"/api/picture?{PATH}&low=455&high=470&few=1")
    assert reply.status_code == 200 and 'data-name="P"' in reply.text
    assert not any(arm in reply.text for arm in ARMS)


WORLD = World(("dull", "glossy"), paired=True, words=("dull clay", "glossy clay"), scans=2)
SEAT = "0badcafe0badcafe"
HOST = Who("host", "because we looked")
EARLY, BEFORE = "2026-03-01T09:00:00.000Z", "2026-03-01T10:04:00.000Z"
"""While files came, and after what people did; the curtain was drawn after both."""
VIEWS = (
    "", "question=begin", "question=here", "question=trust", "question=trust&edge=Al+K",
    "question=trust&a=1&b=2", "question=real", "question=real&edge=Al+K", "question=minutes", "question=say",
    f"question=real&edge=Al+K&until={BEFORE}", f"question=trust&until={EARLY}",
)  # fmt: skip
TOLD = tuple(view for view in VIEWS if view and "say" not in view)
LOOKS = ("room=dark", "lang=fr", "lang=es")
ASKED = {
    "/": ("",),
    "/join": ("",),
    "/host/{word}": ("",),
    "/stage": (*VIEWS, *LOOKS),
    "/stage/join": ("",),
    "/wing": ("", *LOOKS),
    "/wing/look": VIEWS,
    "/wing/scan": tuple(f"scan={n}" for n in (1, 2, 5, 13, 14, "RAW-A_1.dat", "scan-003")),
    "/wing/cards": ("",),
    "/wing/experiment": ("",),
    "/pocket": ("", *LOOKS),
    "/print/ballots": ("", "edge=Al+K"),
    "/design": ("",),
    "/story": ("", f"until={BEFORE}", "lang=fr"),
    "/api/story": ("", f"until={BEFORE}", "all=1"),
    "/api/answers": (*TOLD, "question=trust&a=RAW-A_1.dat&b=2"),
    "/api/picture": (
        *TOLD,
        "question=real&edge=Al+K&theme=dark",
        "question=real&edge=Al+K&low=1560&high=1575&few=1",
    ),
    "/api/tables": (*TOLD, "question=real&edge=Al+K&full=1", "question=trust&edge=Al+K&full=1"),
    "/api/state": ("",),
    "/api/openapi.json": ("",),
}
"""Every address that tells something, and in which ways it is asked; a door that is new must stand here."""
SAYS_NOTHING = {"/a/{mark}/{name}": "files of ours", "/events": "the revision alone, compared below"}


def people(room, world):
    """What a group does in the open, with names in all of it; then the curtain, by the lot of this world."""
    first, second = (world.arms[arm] for arm in world.arm_of)
    unit, specimen = world.unit(1, 0), world.specimen(0, 1)
    cards = (Card(f"one more {unit}", 24.0, f"whether {second} holds", f"the fire of {first}", 0.7),
             Card("stop", 30.0, "nothing"))  # fmt: skip
    sketch = [(1560.0, 0.0), (1566.0, 0.5), (1570.0, 1.2)]
    room.act(rounds.open_guess_round, HOST, "Al K", specimen, f"how {first} will look")
    room.act(ballots.guess, HOST, sketch, SEAT, None)
    room.act(rounds.open_vote_round, HOST, cards, f"{first} or {second}?")
    room.act(ballots.vote, HOST, cards[0].title, SEAT, None)
    vote = list(room.known().state.rounds)[-1]
    room.act(rounds.close_round, HOST, vote)
    room.act(deciding.decide, HOST, cards[0].title, None, vote)
    said = claims.Said(
        f"{second} glows", 3, f"{unit} did", f"{specimen} did not", "Al K", None, [second], "no"
    )
    room.act(claims.claim, HOST, said, SEAT, None)
    room.act(slots.write_words, HOST, "what-we-see", f"{second} glows like {specimen}")
    room.act(shy.ask_shyly, HOST, f"why is {specimen} dark?")
    room.act(note.judge, Who("host", f"{specimen} fell"), "4", "set-aside")
    room.act(edit.edit_value, Who("host", f"{second} takes longer"), ("recipe", "flag", "spike_sigmas"), 5)
    room.act(showing.show, HOST, View("real", "Al K"), [View("trust", None, ("scan-001", "scan-002"))])
    drawn = {"drawn": True, "lot": list(world.lot(0, 1)), "seed": 5}
    room.folder.append([Event(0, room.desk.now(), "curtain", "host", "", drawn)])
    room.running = (Running(world.file(1, 0, 7), 4000, 3.0),)
    room.refuse(world.file(0, 2, 8), f"{world.file(0, 2, 8)}: needed a scan of {unit}, found {first}. Look.")
    room.complaint = TextRefused("experiment.yaml:9", "an arm", f"{second} as {unit} or fred", "Mend it.")


@pytest.fixture
def same_seats(monkeypatch):
    """Chance gives the same seats and words again."""
    monkeypatch.setattr(access.secrets, "token_hex", lambda size: "ab" * size)
    monkeypatch.setattr(access.secrets, "token_urlsafe", lambda size: "word" * size)


def everything_served(place, world, curtain=True):
    """What the host's page and a guest's can get, by rank and address, but for what identifies answers."""
    with opened(place, world):
        pass
    room = Room(place, steady_desk("2026-03-01T10:00:00.000Z", step_s=30))
    people(room, world)
    if not curtain:
        room.act(showing.open_curtain, HOST)
    found = {("", "the stream"): room.revision}
    addresses = ("http://192.168.1.2:8620", HERE)
    opened_house = House(room, Doors(KEY, "test", "2026-03-01"), addresses, True)
    opened_house.limits.requests.most = 10**9
    for rank in ("host", "guest"):
        client = visitor(opened_house, rank)
        for path, queries in ASKED.items():
            for query in queries:
                reply = client.get(f"{path.format(word='word')}?{query}")
                assert reply.status_code < 500, (path, query, reply.text)
                text = re.sub(r'"identity": ?"[^"]*"', "", reply.text)
                found[rank, f"{path}?{query}"] = f"{reply.status_code} {sorted(reply.headers.items())} {text}"
    room.close()
    return {key: re.sub(r"\('content-length', '\d+'\)", "", text) for key, text in found.items()}


def test_every_door_that_tells_something_is_asked():
    assert {door.path for door in DOORS if door.method == "GET"} == {*ASKED, *SAYS_NOTHING}


def test_no_page_picture_table_or_reply_tells_an_experiment_from_its_mirror_image(tmp_path, same_seats):
    """The proof for all that is served: what lay in the one arm lies in the other, and every byte is the
    same; nor does any of it name what nobody may read. The host's own terminal alone knows."""
    one, other = (
        everything_served(tmp_path / str(nth), world) for nth, world in enumerate((WORLD, WORLD.mirrored))
    )
    assert one.keys() == other.keys()
    assert [key for key in one if one[key] != other[key]] == []
    served = [key for key, text in one.items() if text.startswith("200")]
    assert len(served) > 70
    for secret in WORLD.secrets | {"fred"}:
        pattern = re.compile(rf"(?<!\w){re.escape(secret)}(?!\w)", re.IGNORECASE)
        assert [key for key, text in one.items() if pattern.search(text)] == [], secret


def test_in_the_open_the_same_pages_do_tell(tmp_path, same_seats):
    one, other = (
        everything_served(tmp_path / str(nth), world, curtain=False)
        for nth, world in enumerate((WORLD, WORLD.mirrored))
    )
    differ = {key for key in one if one[key] != other[key]}
    assert {
        ("guest", "/stage?question=real"),
        ("guest", "/api/tables?question=real&edge=Al+K&full=1"),
    } <= differ
    assert "glossy" in one["host", "/wing?"]


@pytest.fixture
def veiled_room(tmp_path):
    with opened(tmp_path / "shift", WORLD):
        pass
    room = Room(tmp_path / "shift", steady_desk("2026-03-01T10:00:00.000Z", step_s=30))
    people(room, WORLD)
    made = House(room, Doors(KEY, "test", "2026-03-01"), (HERE,), True)
    yield made, visitor(made, "host"), visitor(made, "guest")
    room.close()


@pytest.mark.parametrize(
    ("path", "said", "needed"),
    [
        ("/api/place", {"scan": "scan-001", "specimen": "P-A", "spot": "1"}, "needed an open curtain"),
        ("/api/judge", {"scan": "RAW-A_1.dat", "verdict": "keep"}, "a scan in this experiment"),
        ("/api/tie", {"shift_ev": 0.1, "sigma_ev": 0.1, "source": "x", "scans": ["RAW-A_1.dat"]}, "a scan"),
        ("/api/show", {"now": {"question": "trust", "compare": ["RAW-A_1.dat", "2"]}}, "a scan in"),
        ("/api/invite-guesses", {"edge": "Al K", "specimen": "RAW-A"}, "one that the room sees"),
        ("/api/decide", {"round": "vote-1", "card": "none such"}, "needed one of vote-1"),
    ],
)  # fmt: skip
def test_no_act_finds_out_what_a_true_name_is_called(veiled_room, path, said, needed):
    made, host, _ = veiled_room
    before = made.room.folder.events()
    reply = host.post(path, json={**said, "reason": "because"})
    assert reply.status_code == 422 and needed in reply.json()["refused"]
    told = json.dumps(reply.json()).replace("RAW-A", "")
    assert not [secret for secret in WORLD.secrets if secret in told]
    assert made.room.folder.events() == before


def test_a_guest_s_claim_about_an_arm_by_its_true_name_is_refused_and_by_its_letter_taken(veiled_room):
    made, _, guest = veiled_room
    said = {"claim": "it glows", "level": 2, "evidence": "a", "reason": "b", "unless": "c"}
    reply = guest.post("/api/claim", json={**said, "arms": ["glossy"]})
    assert reply.status_code == 422 and "one that the room sees" in reply.json()["refused"]
    assert guest.post("/api/claim", json={**said, "arms": ["P"]}).status_code == 200
    assert made.room.known().state.claims[-1].arms == WORLD.lot(0)
    assert made.room.seen().state.claims[-1].arms == ("P",)


def test_a_card_that_names_a_unit_is_decided_by_the_title_that_the_room_sees(veiled_room):
    made, host, _ = veiled_room
    vote = next(there for there in made.room.seen().state.rounds.values() if there.sort == "vote")
    title = vote.cards[0].title
    reply = host.post("/api/decide", json={"round": vote.name, "card": title, "reason": "we agreed"})
    assert reply.status_code == 200, reply.text
    assert made.room.known().state.decisions[-1].card == f"one more {WORLD.unit(1, 0)}"


def test_nobody_looks_behind_the_curtain_by_rewinding(veiled_room):
    made, _, guest = veiled_room
    assert made.room.known(BEFORE).state.curtain is None
    page = guest.get(f"/stage?question=real&edge=Al+K&until={BEFORE}").text
    assert not re.search(r"dull|glossy", page)
    made.room.act(showing.open_curtain, HOST)
    assert re.search(r"dull|glossy", guest.get(f"/stage?question=real&edge=Al+K&until={BEFORE}").text)


def test_results_on_the_disk_are_never_served(veiled_room):
    made, host, _ = veiled_room
    made.room.write_results()
    results = made.room.folder.path / "results"
    assert "glossy" in (results / "real.json").read_text(encoding="utf-8")
    for name in ("results/real.json", "a/0/../../results/real.json", "a/0/%2e%2e%2fresults%2freal.json"):
        assert host.get(f"/{name}").status_code == 404
