"""edgeshift new: begin an experiment."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Json, Role


def new(
    folder: Annotated[Path, typer.Argument(help="The folder to make.", show_default=False)],
    answers: Annotated[
        Path | None,
        typer.Option("--from", help="A YAML file: an experiment, or answers to the interview."),
    ] = None,
    role: Role = "host",
    as_json: Json = False,
) -> None:
    """Begin an experiment, by a short interview or from a file."""
    from edgeshift.actions import new as action
    from edgeshift.actions.desk import Desk
    from edgeshift.cli.printing import read_file

    if answers is None:
        text, name = action.text_from_interview(_ask), "the interview"
    else:
        text, name = action.text_from_file(read_file(answers), answers.name), answers.name
    with action.new(folder, text, Desk(), role, name):
        pass
    if as_json:
        typer.echo(json.dumps([{"folder": str(folder), "experiment": text}], ensure_ascii=False))
        return
    typer.echo(f"{folder} is ready. Read and edit {folder / 'experiment.yaml'} at any time.")
    typer.echo(f"Next: edgeshift take {folder} FILES")


def _ask(question) -> str:
    """Put one question and stay with it until the answer makes sense."""
    from edgeshift.errors import TextRefused

    while True:
        said = _typed(question.words)
        try:
            question.read(said)
        except TextRefused as trouble:
            typer.echo(str(trouble), err=True)
        else:
            return said


def _typed(words: str) -> str:
    from edgeshift.errors import TextRefused

    try:
        return typer.prompt(words, default="", show_default=False, prompt_suffix="\n> ", err=True)
    except typer.Abort:
        act = "Begin again, or write the answers into a file and add --from FILE."
        raise TextRefused("the interview", "an answer to every question", "its end", act) from None
