"""edgeshift look: what is in a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from edgeshift.cli.options import Json

if TYPE_CHECKING:
    from edgeshift.actions.look import ColumnSeen, EntrySeen


def look(
    files: Annotated[list[Path], typer.Argument(help="Raw files.", show_default=False)], as_json: Json = False
) -> None:
    """What is in a file: columns, ranges, guesses, doubts. Nothing is taken."""
    from edgeshift.actions.look import look as action
    from edgeshift.cli.printing import read_file, records_as_json
    from edgeshift.errors import FileRefused

    seen: list[EntrySeen] = []
    refused = False
    for path in files:
        try:
            entries = action(path.name, read_file(path))
        except FileRefused as refusal:
            typer.echo(str(refusal), err=True)
            refused = True
            continue
        seen.extend(entries)
        if not as_json:
            for entry in entries:
                _print(entry)
    if as_json:
        typer.echo(records_as_json(seen))
    raise typer.Exit(2 if refused else 0)


def _print(entry: EntrySeen) -> None:
    which = f", entry {entry.entry}" if entry.entry else ""
    typer.echo(f"{entry.file}{which}: {entry.format}, {entry.rows} rows")
    wide = max((len(column.name) for column in entry.columns), default=0)
    for column in entry.columns:
        typer.echo(f"  {column.name:<{wide}}  {_range(column)}{_guess(column)}")
    for words in entry.complaints:
        typer.echo(f"  noticed: {words}")
    for words in entry.doubts:
        typer.echo(f"  doubt: {words}")
    if entry.not_a_scan:
        typer.echo(f"  no scan: {entry.not_a_scan}")
        return
    typer.echo("  take would accept this." if entry.certain else "  take would ask. For experiment.yaml:")
    if not entry.certain:
        typer.echo("".join(f"    {line}\n" for line in entry.profile_text.splitlines()), nl=False)


def _range(column: ColumnSeen) -> str:
    from edgeshift.wording.numbers import plain

    unit = f" {column.unit}" if column.unit else ""
    lack = f", {column.missing} without a number" if column.missing else ""
    if column.low is None:
        return "no number" + lack
    return f"{plain(column.low)} to {plain(column.high)}{unit}{lack}"


def _guess(column: ColumnSeen) -> str:
    return f"  -> {column.guess}" if column.guess else ""
