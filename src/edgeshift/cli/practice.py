"""edgeshift practice: a whole shift, invented; afterwards, what of it was caught."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Json


def practice(
    context: typer.Context,
    folder: Annotated[
        Path | None, typer.Argument(help="Where to make it; empty: ./riverbank.", show_default=False)
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Another seed, another shift.")] = 1,
    scenario: Annotated[
        str, typer.Option(help="riverbank, riverbank-2, riverbank-3 (one club's three shifts) or linen.")
    ] = "riverbank",
    traps: Annotated[str, typer.Option(help="Troubles to plant: none, all, or some, as T1,T4.")] = "none",
    speed: Annotated[
        float | None,
        typer.Option(min=0.1, help="Files land live, so many times faster than on the day: 60 is lively."),
    ] = None,
    at_once: Annotated[bool, typer.Option("--at-once", help="All files land now; so it is anyway.")] = False,
    plan: Annotated[
        Path | None, typer.Option(help="Rehearse your own experiment.yaml instead of a scenario.")
    ] = None,
    score: Annotated[bool, typer.Option("--score", help="Open the seal and say what was caught.")] = False,
    truth: Annotated[
        bool, typer.Option("--truth", help="Say at the end what was truly put in; it spoils a rehearsal.")
    ] = False,
    as_json: Json = False,
) -> None:
    """A practice shift: invented specimens on an invented beamline, taken and answered."""
    if at_once and speed is not None:
        raise typer.BadParameter("Choose --speed or --at-once, not both.")
    _check_sense(context)
    if score:
        _score(folder, as_json)
        return
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.practise import How, free_name, practise
    from edgeshift.cli.printing import counter, names_in, read_file, where_to_look
    from edgeshift.wording.plain import as_json as dumped
    from edgeshift.wording.plain import as_text

    desk = Desk()
    text = read_file(plan).decode("utf-8", errors="replace") if plan else None
    how = How(scenario, traps, speed, text)
    folder = folder or free_name("rehearsal" if plan else scenario)
    if speed is not None:
        typer.echo(
            f"Files grow in {folder}/landing. From another window: edgeshift stage {folder}"
            f" --watch {folder}/landing, or edgeshift ask trust {folder}",
            err=True,
        )
    done = practise(folder, seed, desk=desk, tell=counter("files taken"), how=how)
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


ONLY_BEFORE = ("seed", "scenario", "traps", "speed", "at_once", "plan", "truth")
"""What says which shift is made; one that is there already is scored as it is."""


def _check_sense(context: typer.Context) -> None:
    """Refuse what would be passed over in silence."""
    said = [
        name
        for name in (*ONLY_BEFORE, "score")
        if (source := context.get_parameter_source(name)) is not None and source.name != "DEFAULT"
    ]
    others = [name for name in said if name != "score"]
    if "score" in said and others:
        option = "--" + others[0].replace("_", "-")
        raise typer.BadParameter(f"--score reads the seal of a shift that is there; leave {option} out.")
    if "plan" in said and "scenario" in said:
        raise typer.BadParameter("A plan is rehearsed instead of a scenario: choose --plan or --scenario.")


def _score(folder: Path | None, as_json: bool) -> None:
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.score import score
    from edgeshift.cli.printing import counter, records_as_json
    from edgeshift.wording.practice import scored

    found = score(folder or Path("riverbank"), desk=Desk(), tell=counter("traps scored"))
    typer.echo(records_as_json([found]) if as_json else "\n".join(scored(found)))
