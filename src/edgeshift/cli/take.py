"""edgeshift take: raw files in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from edgeshift.cli.options import Folder, Json

if TYPE_CHECKING:
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.take import Bytes, Taken
    from edgeshift.folder.experiment_folder import ExperimentFolder


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
    text: Annotated[
        Path | None,
        typer.Option(
            "--from", help="An experiment text (YAML): begin the folder with it where there is none."
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Take raw files in, each copied, hashed and on the disk before its line is printed; then judge them.

    What the experiment can be asked so far is answered in one line each and written under results/.
    """
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.take import take as action
    from edgeshift.cli.printing import caution, records_as_json

    desk = Desk()
    if text is not None and not folder.exists():
        _begin(folder, text, desk)
    opened = desk.load(folder)
    caution(opened.complaint)
    with opened.folder:
        answers = _answers(column or (), entry)
        tell = _silent if as_json else _tell
        taken = action(opened.folder, _every(files), desk, _profile(profile), answers, tell)
        if not as_json:
            _answer(opened.folder, folder)
    if as_json:
        typer.echo(records_as_json(taken))
    raise typer.Exit(_exit_code(taken))


def _begin(folder: Path, text: Path, desk: Desk) -> None:
    from edgeshift.actions.new import new, text_from_file
    from edgeshift.cli.printing import read_file

    new(folder, text_from_file(read_file(text), text.name), desk, name=text.name).close()


def _answer(opened: ExperimentFolder, folder: Path) -> None:
    """One line for each answer; nothing where no scan is in yet."""
    from edgeshift.actions.ask import ask_all
    from edgeshift.actions.naming import naming_of
    from edgeshift.actions.session import Session
    from edgeshift.actions.shares import belongs_to_nothing
    from edgeshift.cli.printing import where_to_look
    from edgeshift.wording.names import NO_PLACES
    from edgeshift.wording.plain import as_lines

    session = Session(opened)
    known = session.known()
    if known.scans:
        if belongs_to_nothing(known):
            typer.echo(f"\n{NO_PLACES}", err=True)
        typer.echo("\n" + as_lines(ask_all(session), naming_of(known.state)))
        where_to_look(folder)


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
    """The files in the order of the line; a folder stands for the visible files in it, by name.

    Folders inside a folder are not entered, and that is said, as it is of a folder without files.
    """
    for path in paths:
        if not path.is_dir():
            yield path.name, path.read_bytes
            continue
        inside = sorted(one for one in path.iterdir() if not one.name.startswith("."))
        yield from ((one.name, one.read_bytes) for one in inside if one.is_file())
        for folder in (one for one in inside if one.is_dir()):
            name = f"{path.name}/{folder.name}"
            yield (
                name,
                _refusing(name, "a file", "a folder inside a folder", "Name it on the line to take it."),
            )
        if not inside:
            yield path.name, _refusing(path.name, "raw files in it", "none", "Check the name of the folder.")


def _refusing(name: str, needed: str, found: str, act: str) -> Bytes:
    """Bytes that cannot be had, and why: what the action then says of this one."""
    from edgeshift.errors import UnreadableFile

    def read() -> bytes:
        raise UnreadableFile(name, needed, found, act)

    return read


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
