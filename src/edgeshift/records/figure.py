"""A figure as data: what stands where, in the units of the measurement, before any pixel.

    Figure
    ├── notes    what was found about that which the panels show, each with its next act
    └── panels   Plot | Ladder | Shelf | Intervals | Board | Blank
        Plot     ruler, strips (each with its marks), scale bar, hairlines
        Ladder   rungs from the bottom, each with one row of dots a unit
        Shelf    one row an edge, one tick a scan
        Intervals  one bar a cause, on one ruler
        Board    one small ladder an edge
        Blank    a whole-page state: empty, not yet, cannot tell, failed

Every string may hold name tokens (`{arm:fired}`); names are given when the figure is drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Role = Literal["control", "treated", "third", "fourth", "neutral"]
ARM_ROLES: tuple[Role, ...] = ("control", "treated", "third", "fourth")
"""The order of the arms: a control first, then as many treatments as one picture may hold."""
StepState = Literal["empty", "not-yet", "cannot-tell", "partly", "answered", "failed"]
Numbers = tuple[float, ...]


@dataclass(frozen=True)
class Ruler:
    """The one axis of a panel: from `low` to `high`, its unit in words."""

    low: float
    high: float
    words: str


@dataclass(frozen=True)
class ScaleBar:
    """What stands in place of a vertical axis: a length in the unit of the curve, and its words."""

    height: float
    words: str


@dataclass(frozen=True)
class Band:
    """The give-or-take band of a curve: from `low` to `high` at each `x` (all of one length)."""

    x: Numbers
    low: Numbers
    high: Numbers
    role: Role = "neutral"


@dataclass(frozen=True)
class Line:
    """A curve; NaN breaks it. `name` stands at its end with a quiet `note` beneath; `marked` sets the
    marker of its role along it.
    """

    x: Numbers
    y: Numbers
    role: Role = "neutral"
    name: str = ""
    note: str = ""
    marked: bool = False


@dataclass(frozen=True)
class FlagMark:
    """A doubted point: it stays visible, ringed, with a leader and a plain cause."""

    x: float
    y: float
    words: str
    code: str = ""


@dataclass(frozen=True)
class Label:
    """Words that stand inside a strip, where no mark is in the way; `short` where there is no room."""

    words: str
    short: str = ""


@dataclass(frozen=True)
class Beyond:
    """Where a band leaves the strip's zero line: (from, to) in the unit of the ruler, a bar for each."""

    stretches: tuple[Numbers, ...]


Mark = Band | Line | FlagMark | Label | Beyond


@dataclass(frozen=True)
class Strip:
    """A stretch of the vertical scale, `low` to `high`, with what stands on it.

    All strips of a plot have the same pixels per unit. `zero` draws the strip's own zero line; `title` are
    words above it, in a room of their own, and `note` quiet words right of it.
    """

    low: float
    high: float
    marks: tuple[Mark, ...]
    zero: bool = False
    title: str = ""
    note: str = ""


@dataclass(frozen=True)
class Plot:
    """Strips above one another on one ruler; `hairlines` (ruler unit) run through all of them."""

    ruler: Ruler
    strips: tuple[Strip, ...]
    bar: ScaleBar | None = None
    hairlines: Numbers = ()
    share: float = 1.0


@dataclass(frozen=True)
class Dot:
    """One measured value of the feature, with what it is, for pointing at."""

    value: float
    role: Role
    what: str


@dataclass(frozen=True)
class Row:
    """The dots of one unit, or of one pair; `name` is printed on the top rung."""

    name: str
    dots: tuple[Dot, ...]


@dataclass(frozen=True)
class Rung:
    """One rung: what it asks, its state, the words it wears, and its rows."""

    code: Literal["scans", "spots", "units"]
    title: str
    state: Literal["lit", "not-shown", "cannot-test"]
    words: str = ""
    rows: tuple[Row, ...] = ()
    joined: bool = False
    named: bool = False


@dataclass(frozen=True)
class Ladder:
    """Three rungs, read from the bottom, over one ruler (None where there is no feature).

    `stamp` is "declared before" or "found after"; `reading` is the difference in words.
    """

    rungs: tuple[Rung, ...]
    ruler: Ruler | None
    stamp: str
    reading: str = ""
    share: float = 1.0


ScanState = Literal["keep", "keep-with-a-note", "set-aside"]


@dataclass(frozen=True)
class Tick:
    """One scan on the shelf."""

    scan: str
    state: ScanState
    words: str = ""


@dataclass(frozen=True)
class ShelfReason:
    """One reason in few words, and the scans that have it."""

    words: str
    state: ScanState
    scans: tuple[str, ...]


@dataclass(frozen=True)
class ShelfRow:
    """The scans of one edge, in the order they came, their tally in words, and the reasons among them."""

    name: str
    ticks: tuple[Tick, ...]
    tally: str
    reasons: tuple[ShelfReason, ...] = ()


@dataclass(frozen=True)
class Shelf:
    """Every scan of the shift: one row an edge."""

    rows: tuple[ShelfRow, ...]
    share: float = 1.0


@dataclass(frozen=True)
class Interval:
    """One cause: how much of the whole it makes (with its range), and its own value in words."""

    name: str
    value: float
    low: float
    high: float
    words: str
    main: bool = False


@dataclass(frozen=True)
class Intervals:
    """Causes under one another on one ruler."""

    ruler: Ruler
    rows: tuple[Interval, ...]
    share: float = 1.0


@dataclass(frozen=True)
class SmallLadder:
    """The three rung states of one edge, bottom first, and a few words beneath."""

    name: str
    states: tuple[str, ...]
    words: str
    stamp: str = ""


@dataclass(frozen=True)
class Board:
    """Small ladders side by side; `titles` name the rungs once, bottom first."""

    titles: tuple[str, ...]
    ladders: tuple[SmallLadder, ...]
    share: float = 1.0


@dataclass(frozen=True)
class Blank:
    """Nothing to plot, drawn as what it is: a state of the edge, its words and the next act."""

    state: StepState
    words: str
    act: str = ""
    ruler: Ruler | None = None
    share: float = 1.0


Panel = Plot | Ladder | Shelf | Intervals | Board | Blank


@dataclass(frozen=True)
class Note:
    """Something found: its words, one stretch perhaps in `**bold**`, and the next act."""

    words: str
    act: str = ""


@dataclass(frozen=True)
class Figure:
    """A sentence, a picture, perhaps a question to the room, and the same in words (`alt`).

    One stretch of the sentence may stand in `**bold**`: the one fact in it. `flat` figures are
    strips (the board) and take only the height they need.
    """

    kind: Literal["real", "trust", "differ", "board", "blank"]
    sentence: str
    panels: tuple[Panel, ...]
    alt: str
    question_to_room: str | None = None
    flat: bool = False
    notes: tuple[Note, ...] = ()
