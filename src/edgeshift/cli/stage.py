"""edgeshift stage: the page of the room, while the shift runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Folder


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
) -> None:
    """Serve the live page of one experiment until Ctrl-C: the Stage, the host's Wing, the guests' Pocket."""
    from edgeshift.web.server import serve

    serve(folder, watch, port, lan, tell=_told, polled=True if poll else None)


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
