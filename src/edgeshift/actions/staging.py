"""What the Stage shows: one answer, its sentence, its picture and a question to the room."""

from __future__ import annotations

from dataclasses import dataclass, replace

from edgeshift.actions.ask import ASKED
from edgeshift.actions.room import Room
from edgeshift.actions.session import Known
from edgeshift.actions.veil import looks_behind
from edgeshift.drawing.tokens import OPEN, Looks
from edgeshift.errors import Refusal
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Blank, Figure
from edgeshift.records.room import View
from edgeshift.wording.names import Naming, open_naming
from edgeshift.wording.prompts import prompt
from edgeshift.wording.screen import ENGLISH, Say


@dataclass(frozen=True)
class Staged:
    """Everything the Stage shows of one view at one moment. `answer` is None where nothing can be said yet.

    Texts hold name tokens; `naming` turns them into names, last.
    """

    view: View
    until: str | None
    answer: Answer | None
    sentence: str
    asked: str
    figure: Figure
    naming: Naming
    looks: Looks
    edges: tuple[str, ...] = ()


def staged(room: Room, view: View | None = None, until: str | None = None, say: Say = ENGLISH) -> Staged:
    """The Stage at `until`: `view` where somebody chose one, else what the host shows, else what there is.

    What belongs to no answer is told in the language of `say`.
    """
    known = room.seen(until)
    shown = known.state.shown
    view = view or (shown.now if shown else _what_there_is(room, until))
    found = _asked(room, view, until)
    answer = _narrowed(found, view)
    figure = answer.figure if answer else _blank(view, say)
    sentence = answer.sentence if answer else figure.sentence
    return Staged(
        view,
        until,
        answer,
        sentence,
        prompt(view.question, answer, say),
        replace(figure, sentence="", question_to_room=None),
        open_naming(known.experiment),
        _looks(known, answer),
        tuple(edge for edge in known.scans if edge in {a.edge for a in found}),
    )


def _looks(known: Known, answer: Answer | None) -> Looks:
    """How the arms are drawn: openly, or without a hue behind the drawn curtain."""
    return looks_behind(known, answer) if known.aliases and answer else OPEN


def _what_there_is(room: Room, until: str | None) -> View:
    """Before the host chose: whether it is real, where arms can be compared; else whether traces hold."""
    found = room.all_answers(until)
    return View("real") if isinstance(found["real"], list) and found["real"] else View("trust")


def _asked(room: Room, view: View, until: str | None) -> list[Answer]:
    if view.question not in ASKED:
        return []
    try:
        return room.ask(View(view.question, None, view.compare), until)
    except Refusal:
        return []


def _narrowed(found: list[Answer], view: View) -> Answer | None:
    """The answer of the edge, else the one that sums up all, else the only one."""
    return next((a for a in found if a.edge == view.edge), found[0] if found else None)


def _blank(view: View, say: Say) -> Figure:
    words = say("blank.not-yet" if view.question in ASKED else "blank.not-built")
    return Figure("blank", words, (Blank("not-yet", words, say("blank.act")),), words)
