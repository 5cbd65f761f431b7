"""edgeshift ask: one of the questions, answered."""

from __future__ import annotations

from typing import Annotated

import typer

from edgeshift.cli.options import Folder, Json


def ask(
    question: Annotated[
        str, typer.Argument(help="begin, here, trust, real, minutes or say.", show_default=False)
    ],
    folder: Folder,
    edge: Annotated[str | None, typer.Option(help="One edge only, as 'Al K'.")] = None,
    compare: Annotated[
        tuple[str, str] | None, typer.Option(help="Two scans, by key or file: why do they differ?")
    ] = None,
    against: Annotated[
        str | None, typer.Option(help="An element that amounts are told against, as 'Al' (question here).")
    ] = None,
    shares: Annotated[
        bool, typer.Option("--shares", help="With here and --edge: in what form, as shares of references.")
    ] = False,
    specimen: Annotated[str | None, typer.Option(help="With --shares: one specimen only.")] = None,
    left: Annotated[
        float | None, typer.Option(help="Minutes left, where the text does not say (question minutes).")
    ] = None,
    stress: Annotated[
        bool, typer.Option("--stress/--no-stress", help="With say: try what might overturn each claim.")
    ] = True,
    as_json: Json = False,
) -> None:
    """Ask a question: can we begin? what is here? do we trust this trace? is the difference real? what
    shall our minutes buy? what may we say aloud?
    """
    from edgeshift.actions.ask import ask as action
    from edgeshift.actions.desk import Desk
    from edgeshift.cli.printing import counter, names_in
    from edgeshift.wording.plain import as_json as dumped
    from edgeshift.wording.plain import as_text

    desk = Desk()
    naming = names_in(folder, desk)
    options = {"against": against, "shares": shares, "specimen": specimen, "left": left}
    options |= {"stress": stress and question == "say", "tell": counter("changes tried")}
    answers = action(folder, question, edge, compare or None, desk=desk, **options)
    typer.echo((dumped if as_json else as_text)(answers, naming), nl=False)
