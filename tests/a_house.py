"""A small room behind its guard, with a host and guests, as browsers would come to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from mounted import BEAMLINE, raw
from starlette.testclient import TestClient

from edgeshift.actions.desk import Desk
from edgeshift.actions.new import new
from edgeshift.actions.room import Room
from edgeshift.web.access import COOKIE, Doors, Rank
from edgeshift.web.app import application
from edgeshift.web.house import House

TEXT = (
    """\
question: does the fire change the clay?
arms: [{name: raw, words: raw clay, control: true}, {name: fired, words: fired clay}]
units: [{name: A, arm: raw}, {name: B, arm: raw}, {name: C, arm: fired}, {name: D, arm: fired}]
specimens:
  - {name: RAW-A, unit: A}
  - {name: RAW-B, unit: B}
  - {name: FIRED-C, unit: C}
  - {name: FIRED-D, unit: D}
"""
    + BEAMLINE
)
RAW_SCANS = (("1.dat", "RAW-A", 1.0), ("2.dat", "RAW-B", 1.04))
FIRED_SCANS = (("3.dat", "FIRED-C", 1.45), ("4.dat", "FIRED-D", 1.4))
ORIGIN = "http://localhost"
CARDS = [
    {"title": "one more fired pot", "minutes": 24.0, "settles": "the pots", "cannot_fix": "the fire",
     "predicted_ratio": 0.71},
    {"title": "stop and write", "minutes": 30.0},
]  # fmt: skip
SKETCH = [[1560.0, 0.0], [1566.0, 0.5], [1570.0, 1.2]]


def scan(name: str, specimen: str, line: float) -> tuple[str, bytes]:
    """A file of one specimen."""
    return name, raw(specimen, "1", line, seed=hash_free(name))


def hash_free(name: str) -> int:
    """A seed that is the same in every run."""
    return sum(name.encode())


@contextmanager
def house(
    place: Path, scans=(*RAW_SCANS, *FIRED_SCANS), lan: bool = False, text: str = TEXT
) -> Iterator[House]:
    """The room with these scans taken."""
    desk = Desk()
    new(place, text, desk).close()
    room = Room(place, desk)
    for each in scans:
        room.take(*scan(*each))
    addresses = (
        "http://127.0.0.1:8620",
        "http://localhost:8620",
        *(["http://192.0.2.7:8620"] if lan else []),
    )
    try:
        yield House(room, Doors(b"a key of the tests", str(place), "2026-03-01"), addresses, lan)
    finally:
        room.close()


def visitor(there: House, rank: Rank = "guest") -> TestClient:
    """A browser of that rank, with a seat of its own."""
    client = TestClient(
        application(there, ("localhost", "127.0.0.1")), ORIGIN, client=("127.0.0.1", 5000),
        headers={"origin": ORIGIN},
    )  # fmt: skip
    if rank != "stranger":
        client.cookies.set(COOKIE, there.doors.ticket(rank))
    return client


def act(client: TestClient, kind: str, status: int = 200, **body: Any) -> Mapping[str, Any]:
    """What came back for an act."""
    reply = client.post(f"/api/{kind}", json=body)
    assert reply.status_code == status, reply.text
    return reply.json()
