"""edgeshift shelf: standards that outlast a shift."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from edgeshift.cli.options import Folder, Json, Reason, Role

if TYPE_CHECKING:
    from edgeshift.actions.shelf import Checked

acts = typer.Typer(no_args_is_help=True, rich_markup_mode=None)
Name = Annotated[str, typer.Argument(help="The standard, as 'goethite'.", show_default=False)]
Edge = Annotated[str | None, typer.Option(help="As 'Fe L', where it stands there at several.")]
ShiftEv = Annotated[float | None, typer.Option(help="What is added to its energies, in eV.")]
SigmaEv = Annotated[float | None, typer.Option(help="Its give-or-take, in eV.")]
Source = Annotated[str, typer.Option(help="Which known peak, and who published it.")]


@acts.callback()
def shelf(
    context: typer.Context,
    place: Annotated[
        Path | None,
        typer.Option(
            "--shelf", help="Another shelf than the one under your data folder.", show_default=False
        ),
    ] = None,
) -> None:
    """Standards: add, list, check, tie, and lend to an experiment."""
    context.obj = place


def _open(context: typer.Context):
    from edgeshift.folder.shelf import Shelf, shelf_folder

    return Shelf(shelf_folder(context.obj))


@acts.command()
def add(
    context: typer.Context,
    name: Name,
    source: Annotated[
        Path, typer.Argument(help="A raw file, or an experiment that measured it.", show_default=False)
    ],
    edge: Edge = None,
    axis: Annotated[
        str | None, typer.Option(help="The energy scale it is on, as the beamline and the month.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="In place of an entry of that name.")] = False,
    as_json: Json = False,
) -> None:
    """Put a standard on the shelf, from a raw file or from an experiment."""
    from edgeshift.actions import shelf as act
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.library import read
    from edgeshift.errors import QuestionRefused

    if source.is_dir():
        if edge is None:
            raise QuestionRefused("the edge", "one to take the standard from", "none", "Add --edge 'Fe L'.")
        standard = act.from_experiment(source, name, edge, Desk(), axis)
    else:
        standard = act.from_file(name, read(source, edge=edge), source.read_bytes(), axis)
    path = act.add(_open(context), standard, replace)
    said = f"{standard.name} at {standard.edge} stands on the shelf: {path}"
    _tell(act.checked(path.name, _open(context)), said, as_json)


@acts.command("list")
def list_(context: typer.Context, as_json: Json = False) -> None:
    """What stands on the shelf, with its ties."""
    _show(context, as_json, notes=False)


@acts.command()
def check(context: typer.Context, as_json: Json = False) -> None:
    """Is every entry whole and tied, and do entries of one standard agree? Exit code 2 where one is not."""
    found = _show(context, as_json, notes=True)
    raise typer.Exit(2 if any(each.state != "tied" or each.notes for each in found) else 0)


def _show(context: typer.Context, as_json: bool, notes: bool) -> list[Checked]:
    from edgeshift.actions import shelf as act
    from edgeshift.cli.printing import records_as_json

    found = act.check(_open(context))
    if as_json:
        typer.echo(records_as_json(found))
        return found
    for each in found:
        typer.echo(_line(each))
        for tie in each.ties:
            typer.echo(
                f"  {tie.time}: {tie.shift_ev:+.3g} eV, give or take {tie.sigma_ev:.2g} ({tie.source})"
            )
        for note in each.notes if notes else ():
            typer.echo(f"  {note}")
    if not found:
        typer.echo("The shelf is empty.")
    return found


def _line(each: Checked) -> str:
    if each.low_ev is None:
        return f"{each.file}: {each.state}"
    half = f", half step {each.half_step_ev:.2f} eV" if each.half_step_ev else ""
    span = f"{each.low_ev:.1f} to {each.high_ev:.1f} eV{half}"
    return f"{each.name}, {each.edge}: {each.state}, {span}; axis {each.axis}"


@acts.command()
def tie(
    context: typer.Context,
    name: Name,
    shift_ev: Annotated[float, typer.Option(help="What is added to its energies, in eV.")],
    sigma_ev: Annotated[float, typer.Option(help="Its give-or-take, in eV.")],
    source: Source,
    edge: Edge = None,
    as_json: Json = False,
) -> None:
    """Tie an entry's energies to a known peak; its history keeps every tie."""
    from edgeshift.actions import shelf as act
    from edgeshift.actions.desk import Desk
    from edgeshift.records.standard import EnergyTie

    shift = EnergyTie(shift_ev, sigma_ev, source, Desk().now())
    tied = act.tie(_open(context), name, edge, shift)
    said = f"{tied.name} at {tied.edge}: {shift_ev:+.3g} eV, tie number {len(tied.ties)}."
    _tell(act.checked(act.entry_file(tied.name, tied.edge), _open(context)), said, as_json)


@acts.command()
def lend(
    context: typer.Context,
    name: Name,
    folder: Folder,
    edge: Edge = None,
    shift_ev: ShiftEv = None,
    sigma_ev: SigmaEv = None,
    source: Source = "",
    role: Role = "host",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Copy a standard into an experiment, on the experiment's own energies; untied it is refused."""
    from edgeshift.actions import shelf as act
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.note import Who
    from edgeshift.records.standard import EnergyTie

    desk = Desk()
    typed = shift_ev is not None
    shift = EnergyTie(shift_ev, sigma_ev or 0.0, source, desk.now()) if typed else None
    event = act.lend(folder, _open(context), name, edge, Who(role, reason), desk, shift)
    told = event.payload
    said = (
        f"{told['name']} at {told['edge']} is in the experiment, shifted by {told['shift_ev']:+.3g} eV,"
        f" give or take {told['sigma_ev']:.2g}."
    )
    _tell(event, said, as_json)


def _tell(record: object, said: str, as_json: bool) -> None:
    """The sentence, or what it speaks of as a list of one."""
    from edgeshift.cli.printing import records_as_json

    typer.echo(records_as_json([record]) if as_json else said)
