"""edgeshift report: documents for people, from what the answers say."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Folder, Json


def report(
    folder: Folder,
    venue: Annotated[Path | None, typer.Option(help="A venue profile (YAML): the rules of a poster.")] = None,
    as_json: Json = False,
) -> None:
    """Write report, poster, slides and exhibit into documents/, with lines where your own words are due.

    Nothing that you did not write reads as a conclusion: fill the slots with edgeshift note words.
    """
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.new import text_of
    from edgeshift.actions.publish import publish, venue_of
    from edgeshift.cli.printing import as_json_list, caution, read_file
    from edgeshift.wording.documents import jargon_lines

    rules = venue_of(text_of(read_file(venue), venue.name), venue.name) if venue else None
    made = publish(folder, rules, desk=Desk())
    caution(made.complaint)
    found = made.jargon
    meanings = [(entry.word, entry.meaning) for entry, _ in found.entries]
    if as_json:
        told = {"words": found.words, "trade": found.trade, "explain": [word for word, _ in meanings]}
        typer.echo(as_json_list([{"paths": [str(path) for path in made.paths], "jargon": told}]))
        return
    for path in made.paths:
        typer.echo(str(path))
    for line in jargon_lines(found.words, found.trade, found.per_100, meanings):
        typer.echo(f"  {line}")
