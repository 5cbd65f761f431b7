"""A house for tests: a small practice shift, its application, and visitors of every rank."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from practised import begun, files
from starlette.testclient import TestClient

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.room import Room
from edgeshift.web.access import COOKIE, Doors
from edgeshift.web.app import application
from edgeshift.web.house import House

HERE = "http://127.0.0.1:8620"
KEY = b"a key for tests, and for nothing else"
AFTER_THE_SHIFT = "2026-03-02T08:00:00.000Z"
OWN = ("127.0.0.1", 50_000)
OTHER = ("192.168.1.7", 50_000)


@contextlib.contextmanager
def house(place: Path, raw=None, text: str | None = None, lan: bool = True) -> Iterator[House]:
    """A room over `raw` files (K L and Ti L of a practice shift where none are given)."""
    begun(place / "shift", files("KL") + files("TiL") if raw is None else raw, text).close()
    room = Room(place / "shift", steady_desk(AFTER_THE_SHIFT))
    yield House(room, Doors(KEY, "test", "2026-03-02"), (HERE,), lan)
    room.close()


def visitor(house: House, rank: str, address=None) -> TestClient:
    """A browser of that rank: the host's on this machine, a guest's on another."""
    at = address or (OWN if rank == "host" else OTHER)
    app = application(house, ["127.0.0.1", "192.168.1.2"])
    client = TestClient(app, HERE, client=at, headers={"origin": HERE}, follow_redirects=False)
    if rank != "stranger":
        client.cookies.set(COOKIE, house.doors.ticket(rank))
    return client
