"""edgeshift plan: scan lists and the day in minutes, before travel and after a trip."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Annotated

import typer

from edgeshift.cli.options import Folder, Json


def plan(
    folder: Folder,
    left: Annotated[
        float | None,
        typer.Option(help="Minutes left: plan the rest of a day that has begun.", show_default=False),
    ] = None,
    done: Annotated[
        list[str] | None,
        typer.Option(help="Rounds done at an edge, as 'Al K=2'; may be said again. Else: as in the book."),
    ] = None,
    eaten: Annotated[bool, typer.Option("--eaten", help="Lunch is over.")] = False,
    decided: Annotated[bool, typer.Option("--decided", help="The decision meeting is over.")] = False,
    as_json: Json = False,
) -> None:
    """Plan the shift: scan lists, run sheet, holder map. Nothing is sent to any instrument."""
    from edgeshift.actions import plan as action
    from edgeshift.actions.desk import Desk
    from edgeshift.wording.planning import NAME_EDGES

    desk, now = Desk(), action.Now()
    if left is not None:
        rounds = dict(_done(one) for one in done) if done else None
        minute = action.minute_now(folder, desk, left)
        now = action.Now(minute, rounds, begun=True, eaten=eaten, decided=decided)
    planned = action.plan(folder, desk, now)
    if as_json:
        day = asdict(planned.day) if planned.day else None
        lists = [
            {**asdict(one), "minutes": one.minutes, "points": len(one.energies_ev)} for one in planned.lists
        ]
        seen = {"feasibility": planned.sheets[action.SEEN]} if not lists else {}
        typer.echo(json.dumps([{"lists": lists, "day": day, **seen}], ensure_ascii=False))
        raise typer.Exit(2 if planned.refused else 0)
    if planned.lists:
        typer.echo(planned.sheets.get("run-sheet.txt", planned.refused))
        typer.echo(planned.sheets["scan-lists.txt"], nl=False)
    if action.SEEN in planned.sheets:
        typer.echo("" if planned.lists else NAME_EDGES + "\n")
        typer.echo(planned.sheets[action.SEEN], nl=False)
    typer.echo(f"Sheets to print: {folder / 'plan'}")
    raise typer.Exit(2 if planned.refused else 0)


def _done(said: str) -> tuple[str, int]:
    from edgeshift.errors import QuestionRefused

    edge, _, rounds = said.rpartition("=")
    if not edge or not rounds.isdecimal():
        raise QuestionRefused("--done", "EDGE=rounds", repr(said), "Type it as 'Al K=2'.")
    return edge.strip(), int(rounds)
