"""Everything that documents may show: texts that say where they come from, and pictures of answers.

    Material
    ├── question, design, measured     what was asked, of what, and what was scanned
    ├── answers                        every answer with its facts, its picture and its table
    ├── shelf, results                 scans set aside and why; results with them and without
    ├── claims, words                  what the group said, and the slots that wait for its words
    ├── story, day                     what happened, moment by moment, and the day line
    └── methods, sources, cautions     what was done to the numbers, whose they are, what to mind

A document lays these texts out and never writes a number of its own: a caption cannot disagree with its data,
because it is the answer's own sentence. `tests/contracts` holds every document to that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any, Literal, NamedTuple

from edgeshift.records.figure import StepState
from edgeshift.records.room import SLOTS

Origin = Literal["answer", "group", "book", "text", "method", "source", "house"]
"""answer: a question's answer, by its identity. group: people's own words. book: an event, by its line.
text: typed in the experiment text. method: a step that ran, by its edge. source: a published source.
house: words of the tool, without any number."""


class Said(NamedTuple):
    """A text and where it comes from; `key` names the answer, the line, the edge or the slot."""

    text: str
    origin: Origin
    key: str = ""


@dataclass(frozen=True)
class Picture:
    """A drawn figure: SVG of `width` by `height` pixels, its words for who cannot see it, its numbers.

    `tables` are (title, heads, rows) as `figures.tables_of` gives them, names in place.
    """

    name: str
    svg: str
    alt: Said
    width: float
    height: float
    tables: tuple[tuple[str, tuple[str, ...], tuple[tuple[str, ...], ...]], ...] = ()


@dataclass(frozen=True)
class Told:
    """One answer as documents show it: its sentence, what it stands on, and its picture."""

    question: str
    edge: str | None
    verdict: str
    sentence: Said
    identity: str
    facts: tuple[Said, ...] = ()
    would_change_it: tuple[Said, ...] = ()
    cautions: tuple[Said, ...] = ()
    picture: Picture | None = None


@dataclass(frozen=True)
class Shelved:
    """A scan that was set aside: what it is and why; `small` is its trace."""

    scan: Said
    why: Said
    small: Picture | None = None


@dataclass(frozen=True)
class Result:
    """A difference with the scans that were set aside, and without them."""

    title: Said
    with_them: Said
    without: Said


@dataclass(frozen=True)
class Claimed:
    """What the group says, in its own words, and what the data carry of it (None: not asked)."""

    claim: Said
    evidence: Said
    reason: Said
    unless: Said
    level: Said
    carried: Told | None = None


@dataclass(frozen=True)
class Moment:
    """One moment of the day: its clock time, what happened, and what somebody said of it."""

    at: str
    said: Said
    own: Said | None = None


@dataclass(frozen=True)
class Measured:
    """One edge as it was scanned: range, dwell, scans kept of those taken, spots, when."""

    edge: str
    cells: tuple[Said, ...]


@dataclass(frozen=True)
class Material:
    """All of it, names in place, drawn in the light room.

    `words` holds a text for each of SLOTS, or None where lines to write on are printed; `marks` the state of
    each question, which a small edge draws; `last` is the moment (ISO 8601) of the last line of the book.
    """

    question: Said
    design: tuple[Said, ...]
    measured_heads: tuple[str, ...]
    measured: tuple[Measured, ...]
    answers: tuple[Told, ...]
    day: Picture
    story: tuple[Moment, ...] = ()
    shelf: tuple[Shelved, ...] = ()
    results: tuple[Result, ...] = ()
    claims: tuple[Claimed, ...] = ()
    words: Mapping[str, Said | None] = field(default_factory=lambda: dict.fromkeys(SLOTS))
    methods: tuple[Said, ...] = ()
    sources: tuple[Said, ...] = ()
    cautions: tuple[Said, ...] = ()
    marks: Mapping[str, StepState] = field(default_factory=dict)
    made_by: Said = Said("", "house")
    last: str = "1970-01-01"

    def said(self) -> Iterator[Said]:
        """Every text in it, in order."""
        yield from every_said(self)


def every_said(thing: Any) -> Iterator[Said]:
    """Every text in a record that holds some, in order."""
    if isinstance(thing, Said):
        yield thing
    elif is_dataclass(thing):
        for each in fields(thing):
            yield from every_said(getattr(thing, each.name))
    elif isinstance(thing, Mapping):
        for value in thing.values():
            yield from every_said(value)
    elif isinstance(thing, tuple):
        for value in thing:
            yield from every_said(value)
