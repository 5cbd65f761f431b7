"""The page before there is an experiment: only the host, only on this machine, until the folder is made."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path

import uvicorn
from starlette.responses import RedirectResponse, Response

from edgeshift.actions.desk import Desk
from edgeshift.errors import Refusal
from edgeshift.folder.experiment_folder import refuse_what_is_there
from edgeshift.folder.own_key import own_key
from edgeshift.web import assets, design, entrance, live
from edgeshift.web.access import Doors
from edgeshift.web.app import application
from edgeshift.web.door import Call, Door
from edgeshift.web.house import Beginning, House
from edgeshift.web.server import LOCAL_NAMES, Server, listening


class NoRoom:
    """Stands where a room will be: it never changes."""

    revision = "0"

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def listen(self, tell: Callable[[str], None]) -> None:
        """Nothing will be told."""

    def hushed(self, refusal: Refusal) -> Refusal:
        """No look is veiled before there is one."""
        return refusal


def home(call: Call) -> Response:
    """There is one page."""
    return RedirectResponse("/design", 303)


DOORS: tuple[Door, ...] = (
    Door("GET", "/", "host", home, "The first page.", kind="page"),
    entrance.host_door("/design"),
    *assets.DOORS,
    *live.DOORS,
    *design.DOORS,
    design.BEGIN,
)
"""Every address there is before an experiment is."""


def anteroom(folder: Path, role: str, desk: Desk, key: bytes, address: str) -> House:
    """The house of an experiment that will stand at `folder`. FolderRefused where something stands there."""
    refuse_what_is_there(folder)
    doors = Doors(key, f"before {folder.resolve()}", desk.now()[:10])
    return House(NoRoom(desk), doors, (address,), begins=Beginning(folder, role))


def serve_interview(folder: Path, port: int, role: str, tell: Callable[[str], None]) -> bool:
    """Hold the interview open on `port` (0: any free one) until Ctrl-C; whether the folder was made.

    `tell` gets the host's address. Raises FolderRefused where folder or port cannot be used.
    """
    refuse_what_is_there(folder)
    socket = listening("127.0.0.1", port)
    address = f"http://127.0.0.1:{socket.getsockname()[1]}"
    house = anteroom(folder, role, Desk(), own_key(), address)
    config = uvicorn.Config(
        application(house, LOCAL_NAMES, DOORS),
        log_level="warning",
        server_header=False,
        timeout_graceful_shutdown=3,
        proxy_headers=False,
    )
    tell(f"{address}/host/{house.doors.host_word}")
    with contextlib.suppress(KeyboardInterrupt):
        Server(config, house.hub).run(sockets=[socket])
    return house.begins.made
