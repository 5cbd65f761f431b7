"""edgeshift ask: one of the questions, answered."""

from __future__ import annotations

from typing import Annotated

import typer

from edgeshift.cli.options import Folder, Json


def ask(
    question: Annotated[str, typer.Argument(help="begin, trust, real or minutes.", show_default=False)],
    folder: Folder,
    edge: Annotated[str | None, typer.Option(help="One edge only, as 'Al K'.")] = None,
    compare: Annotated[
        tuple[str, str] | None, typer.Option(help="Two scans, by key or file: why do they differ?")
    ] = None,
    left: Annotated[float | None, typer.Option(help="Minutes left, where the text does not say.")] = None,
    as_json: Json = False,
) -> None:
    """Ask: can we begin? do we trust this trace? is the difference real? what shall our minutes buy?"""
    from edgeshift.actions.ask import ask as action
    from edgeshift.actions.desk import Desk
    from edgeshift.cli.printing import names_in
    from edgeshift.wording.plain import as_json as dumped
    from edgeshift.wording.plain import as_text

    desk = Desk()
    naming = names_in(folder, desk)
    answers = action(folder, question, edge=edge, compare=compare or None, desk=desk, left=left)
    typer.echo((dumped if as_json else as_text)(answers, naming), nl=False)
