"""edgeshift take: raw files in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from edgeshift.cli.options import Folder, Json

if TYPE_CHECKING:
    from edgeshift.actions.take import Bytes, Taken


def take(
    folder: Folder,
    files: Annotated[list[Path], typer.Argument(help="Raw files, or folders of them.", show_default=False)],
    profile: Annotated[
        Path | None, typer.Option(help="A beamline profile (YAML) that says which column is what.")
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option(help="Which column is what, as energy=E:eV, i0=I0:counts or fluorescence=S1+S2:counts."),
    ] = None,
    entry: Annotated[
        str | None, typer.Option(help="Which entry of a file that holds several; all for each of them.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Take raw files in: copied, hashed and recognised before each line below is printed."""
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.take import take as action
    from edgeshift.cli.printing import caution, records_as_json

    desk = Desk()
    opened = desk.load(folder)
    caution(opened.complaint)
    with opened.folder:
        answers = _answers(column or (), entry)
        tell = _silent if as_json else _tell
        taken = action(opened.folder, _every(files), desk, _profile(profile), answers, tell)
    if as_json:
        typer.echo(records_as_json(taken))
    raise typer.Exit(_exit_code(taken))


def _tell(taken: Taken) -> None:
    """The acknowledgement: what it says is on the disk. Flushed, because somebody may be waiting for it."""
    refused = taken.outcome not in ("taken", "duplicate")
    typer.echo(taken.sentence, err=refused)
    for doubt in taken.doubts:
        typer.echo(f"  doubt: {doubt}", err=refused)


def _silent(taken: Taken) -> None:
    pass


def _exit_code(taken: tuple[Taken, ...]) -> int:
    outcomes = {one.outcome for one in taken}
    if "fault" in outcomes:
        return 1
    return 2 if outcomes & {"asked", "refused"} else 0


def _every(paths: list[Path]) -> Iterator[tuple[str, Bytes]]:
    """The files in the order of the line; a folder stands for the visible files in it, by name."""
    for path in paths:
        inside = sorted(one for one in path.iterdir() if one.is_file()) if path.is_dir() else [path]
        for one in inside:
            if one is path or not one.name.startswith("."):
                yield one.name, one.read_bytes


def _profile(path: Path | None):
    if path is None:
        return None
    from edgeshift.actions.columns_asked import profile_from
    from edgeshift.cli.printing import read_file

    return profile_from(read_file(path), path.name)


def _answers(columns, entry: str | None) -> dict[str, str]:
    from edgeshift.errors import UnclearColumns

    answers = {}
    for said in columns:
        role, equals, name = said.partition("=")
        if not equals:
            raise UnclearColumns("--column", "ROLE=NAME", repr(said), "Type it as --column energy=E:eV.")
        answers[role.strip()] = name
    return {**answers, "entry": entry} if entry is not None else answers
