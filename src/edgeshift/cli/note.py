"""edgeshift note: whatever a person does, with role and reason. One kind, one sub-verb."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Folder, Json, Reason, Role, Why

kinds = typer.Typer(no_args_is_help=True, rich_markup_mode=None)
Scan = Annotated[str, typer.Argument(help="The scan: its key, its number or its file.", show_default=False)]


@kinds.callback()
def note(context: typer.Context, folder: Folder) -> None:
    """Enter what a person does, one kind a verb. Nothing is ever taken out again."""
    context.obj = folder


@kinds.command()
def judge(
    context: typer.Context,
    scan: Scan,
    verdict: Annotated[
        str, typer.Argument(help="keep, keep-with-a-note, set-aside or undo.", show_default=False)
    ],
    role: Role = "host",
    reason: Why = "",
    as_json: Json = False,
) -> None:
    """Keep a scan, set it aside, or undo the last judgement of it."""
    enter_note(context, role, reason, as_json, lambda act, *at: act.judge(*at, scan, verdict))


@kinds.command()
def declare(
    context: typer.Context,
    edge: Annotated[str, typer.Argument(help="As 'Al K'.", show_default=False)],
    kind: Annotated[
        str, typer.Argument(help="ratio, height, area, centroid or position.", show_default=False)
    ],
    window: Annotated[list[str], typer.Option(help="In eV, as 1566-1567; twice for a ratio.")],
    matters: Annotated[float | None, typer.Option(help="Smallest difference that matters.")] = None,
    words: Annotated[str, typer.Option(help="How the group says it.")] = "",
    role: Role = "host",
    reason: Why = "",
    as_json: Json = False,
) -> None:
    """Name the one number that will be compared at an edge."""
    feature = {"kind": kind, "windows": [read_window(one) for one in window], "words": words}
    enter_note(context, role, reason, as_json, lambda act, *at: act.declare(*at, edge, feature, matters))


@kinds.command()
def place(
    context: typer.Context,
    scan: Scan,
    specimen: Annotated[str, typer.Argument(help="As in experiment.yaml.", show_default=False)],
    spot: Annotated[str | None, typer.Option(help="Which spot on it.")] = None,
    role: Role = "host",
    reason: Why = "",
    as_json: Json = False,
) -> None:
    """Say where a scan was measured."""
    enter_note(context, role, reason, as_json, lambda act, *at: act.place(*at, scan, specimen, spot))


@kinds.command()
def tie(
    context: typer.Context,
    shift_ev: Annotated[float, typer.Option(help="What is added to the energies, in eV.")],
    source: Annotated[str, typer.Option(help="Which known peak, and who published it.")],
    sigma_ev: Annotated[float, typer.Option(min=0.0, help="One standard deviation of it, in eV.")],
    edge: Annotated[str | None, typer.Option(help="For all scans of this edge, as 'Fe L'.")] = None,
    scan: Annotated[list[str] | None, typer.Option(help="For this scan; may be said again.")] = None,
    role: Role = "host",
    reason: Why = "",
    as_json: Json = False,
) -> None:
    """Tie the energies to a known peak. Another tie replaces it, 0 takes it back."""
    from edgeshift.records.shift_state import DeclaredTie

    shift = DeclaredTie(shift_ev, sigma_ev, source, edge, tuple(scan or ()))
    enter_note(context, role, reason, as_json, lambda act, *at: act.tie(*at, shift))


@kinds.command()
def write(
    context: typer.Context,
    text: Annotated[str, typer.Argument(help="In your own words.", show_default=False)],
    role: Role = "host",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Keep a note in your own words."""
    enter_note(context, role, reason, as_json, lambda act, *at: act.write(*at, text))


@kinds.command()
def pressure(
    context: typer.Context,
    mbar: Annotated[str | None, typer.Argument(help="One reading, mbar.", show_default=False)] = None,
    log: Annotated[Path | None, typer.Option(help="The gauge's log instead; it is only read.")] = None,
    load: Annotated[
        str | None, typer.Option(help="Which load; else the last one, or the log's name.")
    ] = None,
    at: Annotated[str | None, typer.Option(help="When it was read, as 2026-03-01T10:42; else now.")] = None,
    began: Annotated[str | None, typer.Option(help="When this load's pumping began.")] = None,
    from_start: Annotated[
        bool, typer.Option("--from-start", help="The log's minutes count from when pumping began.")
    ] = False,
    unit: Annotated[str | None, typer.Option(help="Unit of the log's pressures, if it names none.")] = None,
    role: Role = "host",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Note a pressure, or what is new in a gauge's growing log."""
    from edgeshift.actions import pumping
    from edgeshift.cli.printing import read_file
    from edgeshift.errors import NoteRefused

    if (mbar is None) == (log is None):
        found = "neither" if log is None else "both"
        raise NoteRefused("the pressure", "a reading, or --log FILE", found, "Type one of them.")
    if log is None:
        value = _mbar(mbar)
        enter_note(
            context, role, reason, as_json, lambda _, *to: pumping.pressure(*to, value, load, at, began)
        )
        return
    given = pumping.Given(log.name, read_file(log), unit)
    enter_note(
        context, role, reason, as_json,
        lambda _, *to: pumping.pressure_log(*to, given, load, began, from_start),
    )  # fmt: skip


@kinds.command()
def isolate(
    context: typer.Context,
    readings: Annotated[
        list[str], typer.Argument(help="Seconds:mbar, as 0:1.0e-6 60:3.1e-6 120:5.2e-6.", show_default=False)
    ],
    load: Annotated[str | None, typer.Option(help="Which load; else the last one.")] = None,
    at_minute: Annotated[float | None, typer.Option(help="When, on the load's own clock.")] = None,
    role: Role = "host",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Note how the pressure rose while the host had shut off the pump."""
    from edgeshift.actions import pumping

    said = [_second_and_mbar(one) for one in readings]
    enter_note(context, role, reason, as_json, lambda _, *to: pumping.isolate(*to, said, load, at_minute))


@kinds.command()
def position(
    context: typer.Context,
    specimen: Annotated[str, typer.Argument(help="As in experiment.yaml.", show_default=False)],
    scan: Annotated[Path, typer.Argument(help="A scan across it: mm and signal.", show_default=False)],
    at_mm: Annotated[float, typer.Option(help="Where the beam is now, on the same axis.")],
    phosphor_mm: Annotated[
        float, typer.Option(help="How far a phosphor stood proud when the beam was found on it.")
    ] = 0.0,
    role: Role = "host",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Note a scan across a specimen, so that `ask begin` can say whether the beam lies on it."""
    from edgeshift.actions import positions
    from edgeshift.cli.printing import read_file

    given = (scan.name, read_file(scan))
    enter_note(
        context, role, reason, as_json,
        lambda _, *to: positions.position(*to, specimen, given, at_mm, phosphor_mm),
    )  # fmt: skip


def _mbar(said: str) -> float:
    from edgeshift.errors import NoteRefused

    try:
        return float(said)
    except ValueError:
        raise NoteRefused("the pressure", "mbar as one number", repr(said), "Type it as 3.2e-6.") from None


def _second_and_mbar(said: str) -> tuple[float, float]:
    from edgeshift.errors import NoteRefused

    second, _, mbar = said.partition(":")
    try:
        return float(second), float(mbar)
    except ValueError:
        raise NoteRefused("the reading", "seconds:mbar", repr(said), "Type it as 60:3.1e-6.") from None


def enter_note(context: typer.Context, role: str, reason: str, as_json: bool, enter: Callable) -> None:
    """Open the folder, let `enter` call an action with folder, desk and who acts, and print the event."""
    from edgeshift.actions import note as act
    from edgeshift.actions.desk import Desk
    from edgeshift.cli.printing import caution

    desk = Desk()
    opened = desk.load(context.obj)
    caution(opened.complaint)
    with opened.folder:
        event = enter(act, opened.folder, desk, act.Who(role, reason))
    if as_json:
        typer.echo(json.dumps([vars(event)], ensure_ascii=False))
    else:
        typer.echo(f"Entered as line {event.number} of the book, by the {event.role} at {event.time}.")
        for complaint in event.payload.get("complaints", ()):
            typer.echo(complaint)


def read_window(said: str) -> tuple[float, float]:
    """The ends of a window that was typed as 1566-1567. Raises NoteRefused for another text."""
    from edgeshift.errors import NoteRefused

    low, _, high = said.partition("-")
    try:
        return float(low), float(high)
    except ValueError:
        raise NoteRefused("the window", "low-high in eV", repr(said), "Type it as 1566-1567.") from None
