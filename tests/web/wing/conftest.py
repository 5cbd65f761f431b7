"""A host before the Wing of a small invented shift."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from veiled_shifts import World, opened

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.room import Room
from edgeshift.web.access import Doors
from edgeshift.web.app import application
from edgeshift.web.house import House

HERE = "http://127.0.0.1:8620"
WORLD = World(words=("raw clay", "pit-fired clay"))


@dataclass
class Host:
    """Who looks at the pages and acts on them; `world` says what a curtain must hide."""

    house: House
    page: TestClient
    world: World

    @property
    def room(self) -> Room:
        return self.house.room

    def look(self, address: str = "/wing") -> str:
        """The words and markup of a page."""
        reply = self.page.get(address)
        assert reply.status_code == 200, reply.text
        return unescape(reply.text)

    def act(self, kind: str, **said) -> dict:
        """An act that is taken."""
        reply = self.page.post(f"/api/{kind}", json=said, headers={"origin": HERE})
        assert reply.status_code == 200, reply.text
        return reply.json()

    def part(self, name: str, address: str = "/wing") -> str:
        """One part of a page."""
        until = r'(?=<\w+ id="[\w-]+" class="[^"]*" data-part|\Z)'
        found = re.search(rf'<(\w+) id="{name}" .*?data-part.*?{until}', self.look(address), re.DOTALL)
        assert found, name
        return found[0]


@pytest.fixture
def host(tmp_path: Path) -> Iterator[Host]:
    """The host, with the right cookie, of a shift with six pots; nobody else is there."""
    with opened(tmp_path / "shift", WORLD):
        pass
    room = Room(tmp_path / "shift", steady_desk("2026-03-02T08:00:00.000Z"))
    house = House(room, Doors(b"a key of nobody at all", "here", "2026-03-02"), (HERE,), False)
    app = application(house, ("127.0.0.1",))
    with TestClient(app, base_url=HERE, client=("127.0.0.1", 5000)) as page:
        page.get(f"/host/{house.doors.host_word}")
        yield Host(house, page, WORLD)
    room.close()
