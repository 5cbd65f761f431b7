"""The house: the room, its doors and its hub, and what every page of it needs."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from starlette.requests import Request

from edgeshift.actions.room import Room
from edgeshift.web.access import COOKIE, Doors, Limits, Visitor
from edgeshift.web.hub import Hub


@dataclass
class Beginning:
    """An experiment that is still to be made at `folder`, and whether it was by now."""

    folder: Path
    role: str
    made: bool = False


@dataclass
class House:
    """One running server. `addresses` are where it can be reached, the machine's own first.

    `begins` is None in the room of an experiment, and set before there is one.
    """

    room: Room
    doors: Doors
    addresses: tuple[str, ...] = ()
    lan: bool = False
    hub: Hub = field(default_factory=Hub)
    limits: Limits = field(default_factory=Limits)
    begins: Beginning | None = None

    def visitor(self, request: Request) -> Visitor:
        """Who asks: by the signed session, or by the host's word in a notebook."""
        word = None
        said = request.headers.get("authorization", "")
        if said.lower().startswith("bearer ") and COOKIE not in request.cookies:
            word = said[7:].strip()
        address = request.client.host if request.client else ""
        return self.doors.visitor(request.cookies.get(COOKIE), address, word)
