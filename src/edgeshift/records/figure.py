"""A figure as data: what stands where, in the units of the measurement, before any pixel.

    Figure
    ├── notes    what was found about that which the panels show, each with its next act
    └── panels   any of these, side by side
        Plot     ruler, strips (each with its marks), scale bar, hairlines
        Ladder   rungs from the bottom, each with one row of dots a unit
        Shelf    one row an edge, one tick a scan
        Intervals  one bar a cause, on one ruler
        Fans     one fan of equally good fits a share, on one ruler
        Field    a map in a few tones of ink
        Board    one small ladder an edge
        DayLine  the shift by the clock: what happened, where it stands, what is left of it
        Muster   one small edge an element, in order of energy
        LineUp   one element and its impostors: not yet excluded, then excluded
        Fan      readings so far, futures as two nested tints, a typed limit as a shore
        Cards    what the minutes left may buy, on one ruler
        Bench    a claim beside the ladder of claim levels, what is missing, and its stress
        Blank    a whole-page state: empty, not yet, cannot tell, failed

Every string may hold name tokens (`{arm:fired}`); names are given when the figure is drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from edgeshift.records.answer import RungState

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
    """What stands in place of a vertical axis: a length in the unit of the curve, and its words.

    `unit` is the curve's own: step, ratio, area or raw.
    """

    height: float
    words: str
    unit: str = ""


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


@dataclass(frozen=True)
class Ghost:
    """What somebody expected, drawn with a finger: heights in the unit of the curve over the ruler."""

    x: Numbers
    y: Numbers


Mark = Ghost | Band | Line | FlagMark | Label | Beyond


@dataclass(frozen=True)
class Strip:
    """A stretch of the vertical scale, `low` to `high`, with what stands on it.

    All strips of a plot have the same pixels per unit. `zero` draws the strip's own zero line; `title` are
    words above it, in a room of their own, and `note` quiet words right of it. `told` is what the figure's
    `alt` says of it, word for word, so that whoever leaves the strip out can leave that out too.
    """

    low: float
    high: float
    marks: tuple[Mark, ...]
    zero: bool = False
    title: str = ""
    note: str = ""
    told: str = ""


@dataclass(frozen=True)
class Plot:
    """Strips above one another on one ruler; `hairlines` (ruler unit) run through all of them.

    `named_above`: names of lines, and notes of strips, stand in rows above, and the curves get the width.
    """

    ruler: Ruler
    strips: tuple[Strip, ...]
    bar: ScaleBar | None = None
    hairlines: Numbers = ()
    share: float = 1.0
    named_above: bool = False


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
class Spread:
    """One share: its name, what its fan spans (whole, 80 % and 50 % of it) with the middle, the reading in
    words, and the formal stretch with its own words, drawn beneath as the lesser thing it is."""

    name: str
    middle: float
    whole: tuple[float, float]
    most: tuple[float, float]
    half: tuple[float, float]
    words: str
    formal: tuple[float, float]
    formal_words: str
    main: bool = False


@dataclass(frozen=True)
class Fans:
    """Shares under one another on one ruler."""

    ruler: Ruler
    rows: tuple[Spread, ...]
    share: float = 1.0


@dataclass(frozen=True)
class Field:
    """A map: rows of numbers from the top (all of one length, NaN where there is none), tinted from
    `ruler.low` to `ruler.high`; the ruler's words say what is shown."""

    name: str
    rows: tuple[Numbers, ...]
    ruler: Ruler
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


MomentKind = Literal["people", "vacuum", "scan", "trip", "decision", "note", "plan"]


@dataclass(frozen=True)
class Moment:
    """Something that happened or is planned, from `start` to `end` (ISO 8601; None: at once).

    `state` of a scan is its verdict, or "running"; that of anything planned is "planned". `role` is the arm
    it belongs to, `known` when the book came to know of it (empty: at its end): a page rewound to then shows
    it. `key` is for scripts.
    """

    kind: MomentKind
    start: str
    end: str | None = None
    words: str = ""
    state: str = ""
    role: Role = "neutral"
    known: str = ""
    key: str = ""

    @property
    def planned(self) -> bool:
        """Whether it is a plan, not something that happened."""
        return self.kind == "plan" or self.state == "planned"


@dataclass(frozen=True)
class DayLine:
    """The day by the clock, `begin` to `end`: what has happened up to `now`, and `left` to be ours.

    All times are ISO 8601; `offset_min` is how far the room's clock is ahead of UTC. `at` is what that clock
    says at `now`, `left` what is left then; `live` is the true present where the page was rewound. `lanes`
    name the rows in another language: people, vacuum, beam and scans, decisions.
    """

    begin: str
    now: str
    end: str
    moments: tuple[Moment, ...]
    at: str
    left: str
    offset_min: int = 0
    live: str | None = None
    lanes: tuple[str, ...] = ()
    share: float = 1.0


@dataclass(frozen=True)
class ElementMark:
    """One element of a muster: its symbol, its state, and a few words beneath."""

    name: str
    state: StepState
    words: str


@dataclass(frozen=True)
class Muster:
    """Elements in order of energy; `rest` says in words what is not shown one by one."""

    marks: tuple[ElementMark, ...]
    rest: str = ""
    share: float = 1.0


@dataclass(frozen=True)
class Suspect:
    """One impostor: who, whether it is excluded, and why; `beside` where it is no impostor but here as
    well."""

    name: str
    excluded: bool
    why: str
    beside: bool = False


@dataclass(frozen=True)
class LineUp:
    """One element, its state and verdict in words, and its suspects; those not yet excluded come first."""

    name: str
    state: StepState
    verdict: str
    suspects: tuple[Suspect, ...]
    share: float = 1.0


@dataclass(frozen=True)
class Future:
    """What may come at each `x` (ruler unit): `low` to `high` around `quarter` to `three_quarters`."""

    x: Numbers
    low: Numbers
    quarter: Numbers
    middle: Numbers
    three_quarters: Numbers
    high: Numbers


@dataclass(frozen=True)
class Capsule:
    """An interval that is the answer, in the ruler's unit; `high` None: beyond the ruler. Words above it."""

    value: float
    low: float
    high: float | None
    words: tuple[str, str, str]


@dataclass(frozen=True)
class Fan:
    """Readings over time on a logarithmic scale (`x` ruler unit, `y` of the scale's unit, above zero).

    `limit` is a shore with its words; `flags` are steps of the gauge; `aside` is a title and lines beside the
    picture; `scale` names the vertical scale. Without `future` and `capsule` there is no forecast.
    """

    ruler: Ruler
    x: Numbers
    y: Numbers
    scale: str
    limit: float | None = None
    limit_words: tuple[str, str] = ("", "")
    future: Future | None = None
    future_words: str = ""
    capsule: Capsule | None = None
    now_words: str = ""
    flags: tuple[FlagMark, ...] = ()
    aside: tuple[str, ...] = ()
    share: float = 1.0


@dataclass(frozen=True)
class Card:
    """One thing that minutes may buy: its title, its minutes, what it settles, what it cannot fix.

    `predicted` says in words what becomes of the give-or-take.
    """

    title: str
    minutes: float
    settles: str
    cannot_fix: str
    predicted: str = ""


@dataclass(frozen=True)
class Cards:
    """Cards side by side, each with a bar of its minutes on the common ruler of minutes left.

    `hidden`: face down; no word of theirs is drawn.
    """

    ruler: Ruler
    cards: tuple[Card, ...]
    hidden: bool = False
    share: float = 1.0


@dataclass(frozen=True)
class Need:
    """One thing that a claim level asks for: what the data say of it, in words and as a number, and what
    would help."""

    level: int
    words: str
    state: StepState
    number: str = ""
    act: str = ""

    @property
    def told(self) -> str:
        """The words with their number; a whole sentence holds it already."""
        return f"{self.words}: {self.number}" if self.number and not self.words.endswith(".") else self.words


@dataclass(frozen=True)
class ClaimLevel:
    """One rung of the ladder of claims; `asked` is the one that the claim asks for."""

    level: int
    words: str
    state: RungState
    asked: bool = False


@dataclass(frozen=True)
class Stress:
    """How many changes of one kind a claim survived."""

    words: str
    kept: int
    tried: int


@dataclass(frozen=True)
class Spoken:
    """People's own words, and what leads them in."""

    lead: str
    words: str


@dataclass(frozen=True)
class Bench:
    """A claim in people's own words beside the ladder of claim levels, what is missing, and its stress.

    `said` has the claim first; `missing` are those of `needs` that are not met.
    """

    said: tuple[Spoken, ...]
    levels: tuple[ClaimLevel, ...]
    needs: tuple[Need, ...]
    missing: tuple[Need, ...] = ()
    stress: tuple[Stress, ...] = ()
    share: float = 1.0


@dataclass(frozen=True)
class Blank:
    """Nothing to plot, drawn as what it is: a state of the edge, its words and the next act."""

    state: StepState
    words: str
    act: str = ""
    ruler: Ruler | None = None
    share: float = 1.0


@dataclass(frozen=True)
class FigureTable:
    """The numbers of one panel for reading or hearing: a title, columns, and rows as long as these.

    Texts may hold name tokens; a number that is not known is None.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str | float | None, ...], ...]


Panel = (
    Plot
    | Ladder
    | Shelf
    | Intervals
    | Fans
    | Field
    | Board
    | Fan
    | Cards
    | Bench
    | DayLine
    | Muster
    | LineUp
    | Blank
)


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

    kind: Literal[
        "begin", "here", "shares", "trust", "differ", "real", "board", "minutes", "say", "day", "blank"
    ]
    sentence: str
    panels: tuple[Panel, ...]
    alt: str
    question_to_room: str | None = None
    flat: bool = False
    notes: tuple[Note, ...] = ()
