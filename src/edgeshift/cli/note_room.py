"""edgeshift note, the kinds that a room enters together: what is shown, rounds, claims, decisions, edits."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from edgeshift.cli.note import enter_note, kinds, read_window
from edgeshift.cli.options import Json, Reason, Role, Why

if TYPE_CHECKING:
    from edgeshift.records.room import Card, View

Seat = Annotated[str | None, typer.Option("--by", help="The key of a seat, never a name; none: a new one.")]
Round = Annotated[str | None, typer.Option("--round", help="As vote-2; none: the one that is open.")]
Edge = Annotated[str | None, typer.Option(help="As 'Al K'.")]
About = Annotated[str, typer.Option(help="What it is about, in a few words.")]


@kinds.command()
def show(
    context: typer.Context,
    question: Annotated[str, typer.Argument(help="begin, here, trust, real, minutes or say.")],
    edge: Edge = None,
    compare: Annotated[list[str] | None, typer.Option(help="One of two scans; said twice.")] = None,
    then: Annotated[
        list[str] | None, typer.Option("--next", help="What comes next, as 'real' or 'real: Al K'.")
    ] = None,
    role: Role = "host",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Say what the Stage shows."""
    from edgeshift.actions import showing
    from edgeshift.records.room import View

    now = View(question, edge, tuple(compare) if compare else None)
    coming = [_view(one) for one in then or ()]
    enter_note(context, role, reason, as_json, lambda _, *at: showing.show(*at, now, coming))


@kinds.command()
def curtain(
    context: typer.Context,
    state: Annotated[str, typer.Argument(help="drawn or open.", show_default=False)],
    role: Role = "host",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Hide which arm is which by lot, or show it once the group has committed."""
    from edgeshift.actions import showing

    acts = {"drawn": showing.draw_curtain, "open": showing.open_curtain}
    act = _one_of("the curtain", acts, state)
    enter_note(context, role, reason, as_json, lambda _, *at: act(*at))


@kinds.command("round")
def round_(
    context: typer.Context,
    what: Annotated[str, typer.Argument(help="guess or vote opens one; or the name of a round.")],
    edge: Edge = None,
    specimen: Annotated[str | None, typer.Option(help="The specimen that is sketched.")] = None,
    card: Annotated[
        list[str] | None,
        typer.Option(
            help="TITLE=MINUTES, or a whole card as JSON; once for each. None: those of ask minutes."
        ),
    ] = None,
    left: Annotated[float | None, typer.Option(help="Minutes left, for the cards of ask minutes.")] = None,
    about: About = "",
    close: Annotated[bool, typer.Option("--close", help="Close the round of this name.")] = False,
    reopen: Annotated[bool, typer.Option("--reopen", help="Undo its closing.")] = False,
    role: Role = "host",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Open a round of sketches or votes, close it, or open it again."""
    from edgeshift.actions import dealing, rounds

    if close or reopen:
        act = rounds.close_round if close else rounds.reopen_round
        enter_note(context, role, reason, as_json, lambda _, *at: act(*at, what))
        return
    cards = [_card(one) for one in card or ()]
    opening = {
        "guess": lambda *at: rounds.open_guess_round(*at, edge or "", specimen, about),
        "vote": lambda *at: (
            rounds.open_vote_round(*at, cards, about) if cards else dealing.open_dealt_round(*at, left, about)
        ),
    }
    opened = _one_of("the round", opening, what)
    enter_note(context, role, reason, as_json, lambda _, *at: opened(*at))


@kinds.command()
def guess(
    context: typer.Context,
    points: Annotated[list[str], typer.Argument(help="ENERGY:HEIGHT, as 1560:0.1, energies rising.")],
    by: Seat = None,
    name: Round = None,
    role: Role = "student",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Enter a sketch of the next trace, as one from a paper ballot."""
    from edgeshift.actions import ballots
    from edgeshift.actions.entering import new_seat

    sketch = [_point(one) for one in points]
    enter_note(
        context,
        role,
        reason,
        as_json,
        lambda _, *at: ballots.guess(*at, sketch, new_seat(at[1]) if by is None else by, name),
    )


@kinds.command()
def vote(
    context: typer.Context,
    card: Annotated[str, typer.Argument(help="The title of a card.", show_default=False)],
    by: Seat = None,
    name: Round = None,
    role: Role = "student",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Enter a vote for a card, as one from a paper ballot."""
    from edgeshift.actions import ballots
    from edgeshift.actions.entering import new_seat

    enter_note(
        context,
        role,
        reason,
        as_json,
        lambda _, *at: ballots.vote(*at, card, new_seat(at[1]) if by is None else by, name),
    )


@kinds.command()
def claim(
    context: typer.Context,
    words: Annotated[str, typer.Argument(help="The claim, in your own words.")] = "",
    level: Annotated[int, typer.Option(help="What kind of claim it is, 0 to 6.")] = 0,
    evidence: Annotated[str, typer.Option(help="What you saw.")] = "",
    because: Annotated[str, typer.Option(help="Why it follows.")] = "",
    unless: Annotated[str, typer.Option(help="What would overturn it.")] = "",
    edge: Edge = None,
    kind: Annotated[str | None, typer.Option(help="Kind of feature, as ratio.")] = None,
    window: Annotated[list[str] | None, typer.Option(help="In eV, as 1566-1567; twice for a ratio.")] = None,
    arm: Annotated[list[str] | None, typer.Option(help="An arm that it speaks of; once for each.")] = None,
    higher: Annotated[str | None, typer.Option(help="The arm in which the feature is larger.")] = None,
    by: Annotated[str | None, typer.Option(help="The key of a seat; none: the group speaks.")] = None,
    instead_of: Annotated[int | None, typer.Option(help="Line of the claim it takes the place of.")] = None,
    take_back: Annotated[int | None, typer.Option(help="Line of a claim to take back.")] = None,
    role: Role = "student",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Say something aloud, or take it back."""
    from edgeshift.actions import claims

    if take_back is not None:
        enter_note(context, role, reason, as_json, lambda _, *at: claims.take_back_claim(*at, take_back, by))
        return
    feature = {"kind": kind, "windows": [read_window(one) for one in window or ()]} if kind else None
    said = claims.Said(words, level, evidence, because, edge, feature, arm or (), unless, higher)
    enter_note(context, role, reason, as_json, lambda _, *at: claims.claim(*at, said, by, instead_of))


@kinds.command()
def decide(
    context: typer.Context,
    card: Annotated[str, typer.Argument(help="The title of a card, or what else you do.")] = "",
    minutes: Annotated[float | None, typer.Option(help="What it may take; none: as on the card.")] = None,
    name: Annotated[str | None, typer.Option("--round", help="The closed round of votes, as vote-2.")] = None,
    undo: Annotated[int | None, typer.Option(help="Line of a decision to take back.")] = None,
    role: Role = "host",
    reason: Why = "",
    as_json: Json = False,
) -> None:
    """Spend the minutes, or take the decision back."""
    from edgeshift.actions import deciding

    if undo is not None:
        enter_note(context, role, reason, as_json, lambda _, *at: deciding.undo_decision(*at, undo))
        return
    enter_note(context, role, reason, as_json, lambda _, *at: deciding.decide(*at, card, minutes, name))


@kinds.command()
def accept(
    context: typer.Context,
    worry: Annotated[str, typer.Argument(help="The key of the worry.", show_default=False)],
    undo: Annotated[bool, typer.Option("--undo", help="Worry again.")] = False,
    role: Role = "host",
    reason: Why = "",
    as_json: Json = False,
) -> None:
    """Live with a worry, because."""
    from edgeshift.actions import deciding

    act = deciding.undo_accept if undo else deciding.accept
    enter_note(context, role, reason, as_json, lambda _, *at: act(*at, worry))


@kinds.command()
def words(
    context: typer.Context,
    slot: Annotated[
        str, typer.Argument(help="title, why-we-care, what-we-see, what-we-cannot-say, what-next or thanks.")
    ] = "",
    text: Annotated[str, typer.Argument(help="Your own words, without names of people.")] = "",
    undo: Annotated[int | None, typer.Option(help="Line of words to take back.")] = None,
    role: Role = "student",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Write what stands in a slot of the report, the poster and the slides, or take it back."""
    from edgeshift.actions import slots

    if undo is not None:
        enter_note(context, role, reason, as_json, lambda _, *at: slots.undo_words(*at, undo))
        return
    enter_note(context, role, reason, as_json, lambda _, *at: slots.write_words(*at, slot, text))


@kinds.command()
def shy(
    context: typer.Context,
    text: Annotated[str, typer.Argument(help="The question.")] = "",
    heard: Annotated[int | None, typer.Option(help="Line of a question that was heard.")] = None,
    role: Role = "student",
    reason: Reason = "",
    as_json: Json = False,
) -> None:
    """Ask the host something without a voice, or say that it was heard."""
    from edgeshift.actions import shy as asking

    if heard is not None:
        enter_note(context, role, reason, as_json, lambda _, *at: asking.hear(*at, heard))
        return
    enter_note(context, role, reason, as_json, lambda _, *at: asking.ask_shyly(*at, text))


@kinds.command()
def edit(
    context: typer.Context,
    text: Annotated[Path | None, typer.Argument(help="A file with the whole new text.")] = None,
    value: Annotated[
        str | None, typer.Option("--set", help="PATH=VALUE, as recipe/flag/spike_sigmas=5; no value: out.")
    ] = None,
    undo: Annotated[int | None, typer.Option(help="Line of an edit; the text before it comes back.")] = None,
    role: Role = "host",
    reason: Why = "",
    as_json: Json = False,
) -> None:
    """Change the experiment text: whole, one value of it, or back."""
    from edgeshift.actions import edit as editing
    from edgeshift.actions.new import text_of
    from edgeshift.cli.printing import read_file
    from edgeshift.errors import NoteRefused

    if sum(way is not None for way in (text, value, undo)) != 1:
        raise NoteRefused("the edit", "a file, --set or --undo", "none or several", "Say one of them.")
    told: list[str] = []

    def enter(_: Any, *at: Any) -> Any:
        before = at[0].experiment_text()
        if undo is not None:
            event = editing.undo_edit(*at, undo)
        elif value is not None:
            event = editing.edit_value(*at, *_path_and_value(value))
        else:
            event = editing.edit(*at, text_of(read_file(text), text.name))
        told.extend(editing.difference(before, event.payload["text"]))
        return event

    enter_note(context, role, reason, as_json, enter)
    if not as_json:
        _tell(told)


def _tell(changes: list[str]) -> None:
    from edgeshift.wording.names import Naming

    for sentence in changes:
        typer.echo(Naming()(sentence))


def _one_of(thing: str, choices: dict[str, Any], said: str) -> Any:
    from edgeshift.errors import NoteRefused

    if said not in choices:
        raise NoteRefused(thing, f"one of {', '.join(choices)}", repr(said), "Choose one of them.")
    return choices[said]


def _view(said: str) -> View:
    from edgeshift.records.room import View

    question, _, edge = said.partition(":")
    return View(question.strip(), edge.strip() or None)


def _card(said: str) -> Card:
    from edgeshift.errors import NoteRefused
    from edgeshift.records.room import Card

    title, _, minutes = said.rpartition("=")
    try:
        return Card(**json.loads(said)) if said.startswith("{") else Card(title, float(minutes))
    except (ValueError, TypeError):
        raise NoteRefused("the card", "TITLE=MINUTES", repr(said), "Type it as 'one more pot=24'.") from None


def _point(said: str) -> tuple[float, float]:
    from edgeshift.errors import NoteRefused

    energy, _, height = said.partition(":")
    try:
        return float(energy), float(height)
    except ValueError:
        raise NoteRefused("the point", "ENERGY:HEIGHT", repr(said), "Type it as 1560:0.1.") from None


def _path_and_value(said: str) -> tuple[tuple[str | int, ...], Any]:
    path, _, typed = said.partition("=")
    parts = tuple(int(part) if part.isdecimal() else part for part in path.strip().split("/"))
    try:
        return parts, json.loads(typed) if typed else None
    except ValueError:
        return parts, typed
