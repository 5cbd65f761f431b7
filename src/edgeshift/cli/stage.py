"""edgeshift stage: the page of the room, while the shift runs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Folder, Json


def stage(
    folder: Folder,
    watch: Annotated[
        Path | None, typer.Option(help="A folder that fills; it is followed and only ever read.")
    ] = None,
    port: Annotated[int, typer.Option(min=0, max=65535, help="0 takes any free one.")] = 8620,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let phones on the local network join by a code.")
    ] = False,
    poll: Annotated[
        bool, typer.Option("--poll", help="Look again and again instead of waiting for notifications.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Serve the live page of one experiment until Ctrl-C: the Stage, the host's Wing, the guests' Pocket."""
    from edgeshift.web.server import serve

    tell = _told_as_json if as_json else _told
    serve(folder, watch, port, lan, tell=tell, polled=True if poll else None)


def _told(house) -> None:
    """Where everybody finds the page."""
    own, *others = house.addresses
    typer.echo(f"You, the host: {own}/host/{house.doors.host_word}")
    typer.echo(f"The Stage, in the same browser: {own}/stage")
    for address in others if house.lan else ():
        if "localhost" not in address:
            typer.echo(f"Guests: {address} with the code {house.doors.join_code}")
    if house.room.complaint:
        typer.echo(f"{house.room.complaint}", err=True)
    typer.echo("Follow your facility's and beamline's rules; staff decide. Ctrl-C ends it; nothing is lost.")


def _told_as_json(house) -> None:
    """The same for a script: one line, once the page can be reached."""
    own, *others = house.addresses
    guests = [address for address in others if "localhost" not in address] if house.lan else []
    ways = {
        "host": f"{own}/host/{house.doors.host_word}",
        "stage": f"{own}/stage",
        "guests": guests,
        "code": house.doors.join_code if house.lan else None,
    }
    typer.echo(json.dumps([ways]))
