"""The pen: what every part of a drawing writes with. It knows the sheet, the sizes and the signs."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import NamedTuple, TypeVar

from edgeshift.drawing.metrics import Voice, text_width
from edgeshift.drawing.svg import clean, element
from edgeshift.drawing.tokens import ITALIC, OPEN, Look, Looks, Theme
from edgeshift.records.figure import Role

Thing = TypeVar("Thing")


class Box(NamedTuple):
    """A place on the sheet, in pixels from its upper left corner."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.top + self.height


@dataclass(frozen=True)
class Sizes:
    """Type sizes in pixels: the sentence, the question, names, words, and the smallest there is."""

    sentence: float
    question: float
    name: float
    words: float
    small: float

    @property
    def scale(self) -> float:
        """Strokes and markers against those of the Stage."""
        return self.words / 20


@dataclass
class Pen:
    """Collects elements in drawing order; words arrive with their names already given."""

    theme: Theme
    sizes: Sizes
    looks: Looks = field(default_factory=lambda: OPEN)
    prefix: str = "e"
    marks: list[str] = field(default_factory=list)

    def look(self, role: Role) -> Look:
        """The signs of an arm on this sheet."""
        return self.looks[role]

    def colour(self, token: str) -> str:
        """The colour of a token on this sheet."""
        return getattr(self.theme, token)

    def add(self, tag: str, inside: str = "", **attributes: object) -> None:
        """One element; underscores in attribute names become hyphens."""
        named = {name.replace("_", "-"): value for name, value in attributes.items()}
        self.marks.append(element(tag, named, inside))

    @contextmanager
    def group(self, **attributes: object) -> Iterator[None]:
        """Everything drawn inside becomes one group."""
        named = {name.replace("_", "-"): value for name, value in attributes.items()}
        self.marks.append(element("g", named).removesuffix("/>") + ">")
        yield
        self.marks.append("</g>")

    @contextmanager
    def series(self, role: Role) -> Iterator[None]:
        """What belongs to one arm, so that a page can hide it; marks of no arm get no group."""
        if role == "neutral":
            yield
            return
        with self.group(data_series=self.look(role).series):
            yield

    def in_place(self, things: Iterable[Thing], role_of: Callable[[Thing], Role]) -> list[Thing]:
        """Things in the order of their arms' looks: behind a curtain the lot's, not the experiment's."""
        return sorted(things, key=lambda thing: self.look(role_of(thing)).place)

    def stroke(self, path: str, token: str, width: float, **attributes: object) -> None:
        """An unfilled path in the colour of a token."""
        self.add("path", d=path, fill="none", stroke=self.colour(token), stroke_width=width, **attributes)

    def segment(self, start: tuple[float, float], end: tuple[float, float], token: str, width: float) -> None:
        """A straight line between two points."""
        self.add(
            "line", x1=float(start[0]), y1=float(start[1]), x2=float(end[0]), y2=float(end[1]),
            stroke=self.colour(token), stroke_width=width,
        )  # fmt: skip

    def block(self, box: Box, token: str | None, outline: float = 0.0, radius: float = 0.0) -> None:
        """A rectangle, filled with a token (None: hollow), outlined in ink where `outline` > 0."""
        self.add(
            "rect", x=box.left, y=box.top, width=box.width, height=box.height, rx=radius or None,
            fill=self.colour(token) if token else "none",
            stroke=self.theme.ink if outline else None, stroke_width=outline or None,
        )  # fmt: skip

    def text(self, at: tuple[float, float], words: str, size: float, *, anchor: str = "start",
             token: str = "ink", voice: Voice = "regular") -> None:  # fmt: skip
        """One line of words on the baseline `at`."""
        if not words:
            return
        self.add(
            "text", _raised(words, size), x=float(at[0]), y=float(at[1]), font_size=size,
            fill=self.colour(token), text_anchor=None if anchor == "start" else anchor,
            font_weight="700" if voice == "bold" else None,
            font_family=ITALIC if voice == "italic" else None,
            font_style="italic" if voice == "italic" else None,
        )  # fmt: skip

    def width(self, words: str, size: float, voice: Voice = "regular") -> float:
        """How wide words will be."""
        return text_width(words, size, voice)


LEAST_AFAR = 17.0
"""No type of a picture that is read from afar is smaller than this, powers included."""


def power_size(size: float) -> float:
    """Pixels of a raised power: small beside small type, and never too small to be read from afar."""
    return max(0.7 * size, LEAST_AFAR) if size >= LEAST_AFAR else 0.7 * size


_POWER = re.compile("(?<=10)\\^(\u2212?[0-9]+)")


def _raised(words: str, size: float) -> str:
    """Markup of `words`; the power in "10^5" stands small and high: the font has not all raised digits."""
    found: list[str] = []
    for place, piece in enumerate(_POWER.split(words)):
        if place % 2:
            found.append(element("tspan", {"font-size": power_size(size), "dy": -0.36 * size}, clean(piece)))
        elif place and piece:
            found.append(element("tspan", {"dy": 0.36 * size}, clean(piece)))
        else:
            found.append(clean(piece))
    return "".join(found)
