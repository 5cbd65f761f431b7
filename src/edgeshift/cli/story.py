"""edgeshift story: what was done, decided and found, in order."""

from __future__ import annotations

from typing import Annotated

import typer

from edgeshift.cli.options import Folder, Json


def story(
    folder: Folder,
    until: Annotated[
        str | None,
        typer.Option(help="As it was known then: a minute of the day in UTC, as 12:40, or ISO 8601."),
    ] = None,
    whole: Annotated[bool, typer.Option("--all", help="Every moment, however long it takes.")] = False,
    as_json: Json = False,
) -> None:
    """The story so far: what was done, decided and found, in order, read aloud in a minute."""
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.story import as_plain
    from edgeshift.actions.story import story as action
    from edgeshift.cli.printing import as_json_list, caution
    from edgeshift.wording.story import as_lines

    told = action(folder, until, desk=Desk(), whole=whole)
    caution(told.complaint)
    if as_json:
        typer.echo(as_json_list([as_plain(told)]))
    else:
        typer.echo(told.naming("\n".join(as_lines(told.story))))
