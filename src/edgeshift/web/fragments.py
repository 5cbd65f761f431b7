"""What several views show alike: the strip, the sentence, the picture, the day line."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, NamedTuple, Protocol
from urllib.parse import urlencode

from markupsafe import Markup, escape

from edgeshift.actions.day import day_figure
from edgeshift.actions.staging import Staged
from edgeshift.drawing import picture as drawn_picture
from edgeshift.drawing.strip import step_mark
from edgeshift.drawing.strip import strip as drawn_strip
from edgeshift.drawing.tokens import Looks
from edgeshift.figures import two_strips
from edgeshift.figures.stations import stations
from edgeshift.records.answer import QUESTIONS
from edgeshift.records.figure import DayLine, Figure
from edgeshift.records.room import View
from edgeshift.web.door import Call
from edgeshift.web.pages import drawing, say_of, theme_of
from edgeshift.wording import day
from edgeshift.wording.names import Naming
from edgeshift.wording.screen import Say

BOLD = re.compile(r"\*\*(.+?)\*\*")


@dataclass(frozen=True)
class StationShown:
    """One question of the strip, ready to be written."""

    question: str
    asked: str
    words: str
    state: str
    state_words: str
    mark: Markup
    address: str
    chosen: bool


class StripShown(NamedTuple):
    """The strip: its ground, and the six stations on it."""

    ground: Markup
    stations: tuple[StationShown, ...]


def strip(
    call: Call, shown: Staged, width: int = 1280, height: int = 100, path: str = "/stage"
) -> StripShown:
    """The six questions with their one-line live answers; each leads to itself on the page at `path`."""
    theme, room, say = theme_of(call), call.house.room, say_of(call)
    found = {name: answers for name, answers in room.all_answers(shown.until).items() if answers is not None}
    asking = [name for name in QUESTIONS if room.is_being_asked(name, shown.until)]
    each = tuple(
        StationShown(
            one.question,
            say(f"question.{one.question}"),
            shown.naming(one.words),
            one.state,
            say(f"state.{one.state}"),
            drawing(step_mark(one.state, theme)),
            address(path, View(one.question), shown.until),
            one.question == shown.view.question,
        )
        for one in stations(found, say, asking)
    )
    chosen = QUESTIONS.index(shown.view.question)
    ground = drawn_strip(chosen, width, height, theme, rewound=shown.until is not None)
    return StripShown(drawing(ground), each)


def spoken(text: str, naming: Naming, words: Callable[[str], str] = escape) -> Markup:
    """A sentence of ours with its names and its one bold fact; `words` makes markup of its text."""
    parts = BOLD.split(naming(text))
    said = (f"<b>{words(part)}</b>" if place % 2 else str(words(part)) for place, part in enumerate(parts))
    return Markup("".join(said))  # noqa: S704


@dataclass(frozen=True)
class PictureShown:
    """A picture that can be touched: its drawing, the same in words, and what a script asks for it by."""

    drawing: Markup
    told: str
    asked: str
    few: bool
    width: int
    height: int


def picture(call: Call, shown: Staged, width: int, height: int, few: bool = False) -> PictureShown:
    """The picture of what is shown, drawn once for all who look at this size and in this light.

    A room sees `few` strips, whoever sits before the picture all of them.
    """
    figure = two_strips(shown.figure) if few else shown.figure
    key = ("picture", shown.view, shown.until, shown.face_down, few, say_of(call).language)
    made = drawn(call, key, figure, shown, width, height)
    asked = address("", shown.view, shown.until, down=int(shown.face_down)).removeprefix("?")
    return PictureShown(made, shown.naming(figure.alt), asked, few, width, height)


def day_line(call: Call, shown: Staged, width: int = 1280, height: int = 92) -> Markup:
    """The whole shift as one strip."""
    say, figure = say_of(call), day_figure(call.house.room, shown.until)
    if say.language != "en":
        figure = _in_words_of(say, figure)
    return drawn(call, ("day", shown.until, say.language), figure, shown, width, height)


def _in_words_of(say: Say, figure: Figure) -> Figure:
    """The day line with the names of its rows, and what is left of it, in the language of the page."""
    (line,) = figure.panels
    told = day.left_in(line.left, say)
    lanes = tuple(say(f"lane.{lane}") for lane in day.LANES)
    return replace(figure, panels=(replace(line, lanes=lanes, left=told),))


def then(call: Call, shown: Staged) -> str:
    """The moment that a page was rewound to, by the clock of the day line."""
    if not shown.until:
        return ""
    (line,) = (one for one in day_figure(call.house.room, shown.until).panels if isinstance(one, DayLine))
    return line.at


class Dressed(Protocol):
    """Whatever says how things are called and how arms are drawn."""

    @property
    def naming(self) -> Naming: ...

    @property
    def looks(self) -> Looks: ...


def drawn(call: Call, key: tuple, figure: Figure, shown: Dressed, width: int, height: int) -> Markup:
    """A figure as SVG, remembered under `key` for all who look at this size and in this light."""
    theme = theme_of(call)

    def made() -> str:
        return drawn_picture(figure, width, height, theme, naming=shown.naming, looks=shown.looks)

    return drawing(call.house.room.view((*key, width, height, theme), made))


def address(path: str, view: View | None = None, until: str | None = None, **more: Any) -> str:
    """The address of a page that shows this view at this moment."""
    said = {
        "question": view and view.question,
        "edge": view and view.edge,
        "a": view and view.compare and view.compare[0],
        "b": view and view.compare and view.compare[1],
        "until": until,
        **more,
    }
    query = urlencode({name: value for name, value in said.items() if value})
    return f"{path}?{query}" if query else path
