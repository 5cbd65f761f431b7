"""edgeshift practice: a whole shift, invented."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Json


def practice(
    folder: Annotated[
        Path | None, typer.Argument(help="Where to make it; empty: ./riverbank.", show_default=False)
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Another seed, another shift.")] = 1,
    truth: Annotated[
        bool, typer.Option("--truth", help="Say at the end what was truly put in; it spoils a rehearsal.")
    ] = False,
    as_json: Json = False,
) -> None:
    """A practice shift: invented specimens on an invented beamline, taken and answered."""
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.practise import practise
    from edgeshift.cli.printing import counter, names_in, where_to_look
    from edgeshift.wording.plain import as_json as dumped
    from edgeshift.wording.plain import as_text

    desk = Desk()
    done = practise(folder, seed, desk=desk, tell=counter("files taken"))
    naming = names_in(done.path, desk)
    if as_json:
        typer.echo(dumped(done.answers, naming), nl=False)
        return
    typer.echo(
        f"{done.taken} invented files stand in {done.path / 'raw'}, as an instrument would write them.\n"
    )
    typer.echo(as_text(done.answers, naming))
    typer.echo(f"The text behind it: {done.path / 'experiment.yaml'}")
    where_to_look(done.path)
    if truth:
        from edgeshift.wording.practice import truths

        typer.echo("\n" + naming("\n".join(truths(done.truth.edges))))
