"""Printing: sentences to people, JSON to machines, cautions beside both."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from edgeshift.errors import Refusal

if TYPE_CHECKING:
    from edgeshift.actions.desk import Desk
    from edgeshift.wording.names import Naming


def records_as_json(records: Iterable[Any]) -> str:
    """Frozen records as a JSON list, one line."""
    return as_json_list([asdict(record) for record in records])


def as_json_list(plain: list[Any]) -> str:
    """Plain data as a JSON list, one line."""
    return json.dumps(plain, ensure_ascii=False)


def caution(complaint: Refusal | None) -> None:
    """Say on standard error what does not hold in an experiment text; the last accepted one is in force."""
    if complaint is not None:
        typer.echo(f"{complaint} Until then the last accepted text stays in force.", err=True)


def names_in(folder: Path, desk: Desk) -> Naming:
    """The open naming of an experiment; a text that does not hold is cautioned about."""
    from edgeshift.actions.naming import naming_of

    opened = desk.load(folder)
    opened.folder.close()
    caution(opened.complaint)
    return naming_of(opened.state)


def where_to_look(folder: Path) -> None:
    """Where the pictures, the numbers and the spectra stand."""
    results = folder / "results"
    typer.echo(f"Pictures: {results}/*.svg, their numbers: {results}/*.json, spectra: {results / 'spectra'}")


def counter(words: str) -> Callable[[int, int], None]:
    """A line on standard error that counts up while somebody watches a terminal; silent elsewhere."""

    def tell(done: int, whole: int) -> None:
        if sys.stderr.isatty():
            typer.echo(f"\r{done} of {whole} {words}", err=True, nl=done == whole)

    return tell


def read_file(path: Path) -> bytes:
    """The bytes of a file that was named on the line. Raises UnreadableFile where they cannot be had."""
    from edgeshift.actions.take import cannot_be_read

    try:
        return path.read_bytes()
    except OSError as trouble:
        raise cannot_be_read(path.name, trouble) from None
