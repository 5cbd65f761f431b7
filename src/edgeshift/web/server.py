"""Serve one room until the host stops it."""

from __future__ import annotations

import contextlib
import socket
from collections.abc import Callable, Sequence
from pathlib import Path

import uvicorn

from edgeshift.actions.aside import Aside
from edgeshift.actions.desk import Desk
from edgeshift.actions.follow import Follower
from edgeshift.actions.room import Room
from edgeshift.errors import FolderRefused
from edgeshift.folder.own_key import own_key
from edgeshift.web.access import Doors
from edgeshift.web.app import application
from edgeshift.web.house import House
from edgeshift.web.hub import Hub

LOCAL_NAMES = ("127.0.0.1", "localhost", "[::1]")
PORT = 8620
"""Ours by choice; any free one will do."""


class Server(uvicorn.Server):
    """Ends its open streams before it waits for them, so that one Ctrl-C is enough."""

    def __init__(self, config: uvicorn.Config, hub: Hub) -> None:
        super().__init__(config)
        self._hub = hub

    def handle_exit(self, sig: int, frame) -> None:
        """Stop, as the host asked."""
        self._hub.close_soon()
        super().handle_exit(sig, frame)


def serve(
    folder: str | Path,
    watched: str | Path | None,
    port: int,
    lan: bool,
    tell: Callable[[House], None],
    polled: bool | None = None,
    key_folder: Path | None = None,
) -> None:
    """Hold the room at `folder` open on `port` (0: any free one); `tell` is called once it can be reached.

    `watched` is the folder that fills, `lan` lets others on the local network in. Raises FolderRefused where
    a folder or the port cannot be used.
    """
    room = Room(folder, Desk())
    follower, aside = Follower(room, watched, polled), Aside(room)
    try:
        open_socket = listening("0.0.0.0" if lan else "127.0.0.1", port)
        port = open_socket.getsockname()[1]
        names = (*LOCAL_NAMES, *(own_addresses() if lan else ()))
        day = room.desk.now()[:10]
        doors = Doors(own_key(key_folder), str(Path(folder).resolve()), day)
        house = House(room, doors, tuple(f"http://{name}:{port}" for name in names if name != "[::1]"), lan)
        room.all_answers()  # so that the first page is there at once
        config = uvicorn.Config(
            application(house, names),
            log_level="warning",
            server_header=False,
            timeout_graceful_shutdown=3,
            proxy_headers=False,
        )
        follower.start()
        aside.start()
        tell(house)
        with contextlib.suppress(KeyboardInterrupt):
            Server(config, house.hub).run(sockets=[open_socket])
    finally:
        aside.stop()
        follower.stop()
        room.write_results()
        room.close()


def listening(address: str, port: int) -> socket.socket:
    """A socket that listens there. FolderRefused where the port is taken."""
    try:
        return socket.create_server((address, port), backlog=256)
    except OSError:
        raise FolderRefused(
            f"port {port}", "a free port", "one in use", "Choose another: --port 0 takes any free one."
        ) from None


def own_addresses() -> Sequence[str]:
    """Under which addresses others on the local network reach this machine; nothing is sent to find out."""
    found = []
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.connect(("192.0.2.1", 9))  # an address of nobody (RFC 5737): only our own end is looked at
        found.append(asking.getsockname()[0])
    with contextlib.suppress(OSError):
        found += [info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    return [address for address in dict.fromkeys(found) if not address.startswith("127.")]
