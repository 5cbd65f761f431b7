"""The application: every door of every view in one table, behind one guard."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.routing import Route
from starlette.types import ASGIApp

from edgeshift.web import api, assets, entrance, live, paper, pocket, stage, story, wing
from edgeshift.web.door import Door
from edgeshift.web.guard import Guard
from edgeshift.web.house import House

DOORS: tuple[Door, ...] = (
    *entrance.DOORS,
    *assets.DOORS,
    *live.DOORS,
    *stage.DOORS,
    *wing.DOORS,
    *pocket.DOORS,
    *paper.DOORS,
    *story.DOORS,
    *api.DOORS,
)
"""Every address there is. What is not here does not exist."""


def application(house: House, hosts: Iterable[str]) -> ASGIApp:
    """The whole page of one room; `hosts` are the names under which this machine may be asked."""

    @asynccontextmanager
    async def opened(app: Starlette) -> AsyncIterator[None]:
        house.hub.open()
        house.room.listen(house.hub.tell)
        yield
        house.hub.close()

    routes = [Route(door.path, door.answer, methods=[door.method]) for door in DOORS]
    app = Starlette(routes=routes, lifespan=opened)
    app.state.house = house
    return Guard(app, hosts)
