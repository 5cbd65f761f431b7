"""edgeshift new: begin an experiment, or try a design before anybody travels."""

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
    only_try: Annotated[
        bool, typer.Option("--try", help="Say what the design can show, and make nothing.")
    ] = False,
    page: Annotated[
        bool, typer.Option("--page", help="Answer on a page in the browser instead of here.")
    ] = False,
    port: Annotated[int, typer.Option(min=0, max=65535, help="Of the page; 0 takes any free one.")] = 8620,
    role: Role = "host",
    as_json: Json = False,
) -> None:
    """Begin an experiment by an interview that finds what the design can show, or from a file."""
    from edgeshift.actions import new as action
    from edgeshift.actions.desk import Desk
    from edgeshift.cli.printing import read_file

    if page:
        if answers or only_try:
            _not_both("--from" if answers else "--try")
        _on_a_page(folder, port, role, as_json)
        return
    if answers is None:
        design, name = _interviewed(as_json), "the interview"
        text = design.text
    else:
        data, name = read_file(answers), answers.name
        design, text = action.design_from_file(data, name), action.text_from_file(data, name)
    if only_try and design is None:
        _no_answers(name)
    if not only_try:
        with action.new(folder, text, Desk(), role, name):
            pass
    _tell(folder, text, design, only_try, as_json)


def _tell(folder: Path, text: str, design, only_try: bool, as_json: bool) -> None:
    from edgeshift.actions.new import told

    if as_json:
        begun = {} if only_try else {"folder": str(folder)}
        judged = {"design": told(design)} if design else {}
        typer.echo(json.dumps([{**begun, "experiment": text, **judged}], ensure_ascii=False))
        return
    if design:
        from edgeshift.wording.plain import as_text

        typer.echo(as_text([design.answer]))
    if only_try:
        from edgeshift.actions.interview import as_file

        typer.echo(f"Your answers, as a file for --from:\n{as_file(design.answers)}")
        typer.echo("Nothing was made. Change an answer and try again, or leave --try out to begin.")
        return
    typer.echo(f"{folder} is ready. Read and edit {folder / 'experiment.yaml'} at any time.")
    typer.echo(f"Next: edgeshift take {folder} FILES")


def _no_answers(name: str) -> None:
    from edgeshift.errors import TextRefused

    act = "Leave --try out, or write answers as the interview asks for them."
    raise TextRefused(name, "answers to the interview", "an experiment", act)


def _not_both(other: str) -> None:
    from edgeshift.errors import QuestionRefused

    act = f"Leave {other} out; the page makes nothing until its button is pressed."
    raise QuestionRefused("--page", "an interview from its first question", other, act)


def _on_a_page(folder: Path, port: int, role: str, as_json: bool) -> None:
    from edgeshift.web.anteroom import serve_interview

    def tell(address: str) -> None:
        if as_json:
            typer.echo(json.dumps([{"page": address}]))
            return
        typer.echo(f"You, the host: {address}")
        typer.echo("Nobody else can open it. Ctrl-C ends it; until the folder is made nothing is kept.")

    made = serve_interview(folder, port, role, tell)
    if made and not as_json:
        typer.echo(f"{folder} is ready. Next: edgeshift take {folder} FILES")


def _interviewed(as_json: bool):
    """The design of the interview. Where it breaks off, what was answered is shown, to go on from."""
    from edgeshift.actions.interview import as_file
    from edgeshift.actions.new import design_from_interview
    from edgeshift.errors import TextRefused

    answers: dict[str, str] = {}

    def ask(question) -> str:
        answers[question.key] = _ask(question)
        return answers[question.key]

    try:
        return design_from_interview(ask)
    except TextRefused:
        if any(text.strip() for text in answers.values()):
            typer.echo(f"\nYour answers so far, as a file for --from:\n{as_file(answers)}", err=as_json)
        raise


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
        act = "Copy your answers into a file, add what is missing, and begin again with --from FILE."
        raise TextRefused("the interview", "an answer to every question", "its end", act) from None
