"""What people do together in the room, replayed: what is shown, the curtain, rounds, claims, decisions.

A line of the book that makes no sense here (of a later version, or of a round that is not there) changes
nothing.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import Any

from edgeshift.records.event import Event

LETTERS = "PQRSTUVWXYZ"
"""What the arms are called behind the curtain, in the order of the lot."""
SLOTS = ("title", "why-we-care", "what-we-see", "what-we-cannot-say", "what-next", "thanks")
"""Where what goes home waits for the group's own words."""


@dataclass(frozen=True)
class View:
    """One thing the Stage can show: a question, and where it is narrowed the edge or two scans."""

    question: str
    edge: str | None = None
    compare: tuple[str, str] | None = None


@dataclass(frozen=True)
class Shown:
    """What the Stage shows now, and what the host means to show next."""

    now: View
    next: tuple[View, ...] = ()


@dataclass(frozen=True)
class Card:
    """One way to spend the minutes: its price (min), what it would settle and what it cannot mend."""

    title: str
    minutes: float
    settles: str = ""
    cannot_fix: str = ""
    predicted_ratio: float | None = None


@dataclass(frozen=True)
class Guess:
    """A sketch of a trace before it was measured: points of energy (eV) and height, energies rising."""

    by: str
    points: Sequence[Sequence[float]]
    time: str
    number: int


@dataclass(frozen=True)
class Round:
    """A time in which everybody may sketch, or vote. Seats are anonymous keys.

    `cards` stand in the order of a lot. `guesses` and `votes` hold the last of each seat, `tries` how often
    a seat sent one; `paper` are the seats that stand for sheets of paper. `met` is the scan that closed a
    round of sketches; `reopened` says that people may have seen how it stood.
    """

    name: str
    sort: str
    is_open: bool
    opened: str
    number: int
    closed: str | None = None
    met: str | None = None
    reopened: bool = False
    edge: str | None = None
    specimen: str | None = None
    about: str = ""
    cards: tuple[Card, ...] = ()
    guesses: Mapping[str, Guess] = field(default_factory=dict)
    votes: Mapping[str, str] = field(default_factory=dict)
    tries: Mapping[str, int] = field(default_factory=dict)
    paper: Collection[str] = ()


@dataclass(frozen=True)
class Claim:
    """What somebody says aloud, in their own words, and what kind of claim they say it is.

    `number` is its line in the book; `replaced_by` the line of the claim that was said instead; `higher` the
    arm in which they say the feature's number is the larger one.
    """

    number: int
    claim: str
    evidence: str
    reason: str
    level: int
    role: str
    time: str
    edge: str | None = None
    feature: Mapping[str, Any] | None = None
    arms: tuple[str, ...] = ()
    by: str | None = None
    instead_of: int | None = None
    replaced_by: int | None = None
    taken_back: bool = False
    unless: str = ""
    higher: str | None = None

    @property
    def stands(self) -> bool:
        """Whether nobody took it back or said another instead."""
        return not self.taken_back and self.replaced_by is None


@dataclass(frozen=True)
class Decision:
    """What the minutes are spent on, by a round of votes or without one. `number` is its line in the book."""

    number: int
    card: str
    minutes: float
    round: str | None
    role: str
    reason: str
    time: str


@dataclass(frozen=True)
class Acceptance:
    """A worry that somebody decided to live with, and why."""

    worry: str
    role: str
    reason: str
    time: str


@dataclass(frozen=True)
class ShyQuestion:
    """A question to the host from nobody in particular. `number` is its line in the book."""

    number: int
    text: str
    time: str
    heard: bool = False


@dataclass(frozen=True)
class SlotText:
    """What the group wrote into one of SLOTS. `number` is its line in the book."""

    number: int
    slot: str
    text: str
    role: str
    time: str


@dataclass
class RoomPage:
    """The room while it is being read together. Ballots are many, so each is put into its round in place."""

    shown: Shown | None = None
    curtain: tuple[str, ...] | None = None
    rounds: dict[str, Round] = field(default_factory=dict)
    claims: dict[int, Claim] = field(default_factory=dict)
    decisions: dict[int, Decision] = field(default_factory=dict)
    accepted: dict[str, Acceptance] = field(default_factory=dict)
    shy: dict[int, ShyQuestion] = field(default_factory=dict)
    words: dict[int, SlotText] = field(default_factory=dict)
    guesses: defaultdict[str, dict[str, Guess]] = field(default_factory=lambda: defaultdict(dict))
    votes: defaultdict[str, dict[str, str]] = field(default_factory=lambda: defaultdict(dict))
    tries: defaultdict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    paper: defaultdict[str, set[str]] = field(default_factory=lambda: defaultdict(set))


def _show(page: RoomPage, event: Event) -> None:
    page.shown = Shown(_view(event.payload["now"]), tuple(map(_view, event.payload.get("next") or ())))


def _view(plain: Mapping[str, Any]) -> View:
    compare = plain.get("compare")
    return View(plain["question"], plain.get("edge"), tuple(compare) if compare else None)


def _curtain(page: RoomPage, event: Event) -> None:
    page.curtain = tuple(event.payload["lot"]) if event.payload["drawn"] else None


def _round(page: RoomPage, event: Event) -> None:
    payload = event.payload
    name, is_open = payload["round"], payload["state"] == "open"
    there = page.rounds.get(name)
    if there is None and is_open:
        page.rounds[name] = _opened(page, event)
    elif there and is_open:
        page.rounds[name] = replace(there, is_open=True, closed=None, reopened=True)
    elif there and there.is_open:
        page.rounds[name] = replace(there, is_open=False, closed=event.time, met=payload.get("met"))


def _opened(page: RoomPage, event: Event) -> Round:
    payload = event.payload
    name = payload["round"]
    return Round(
        name,
        payload["sort"],
        True,
        event.time,
        event.number,
        edge=payload.get("edge"),
        specimen=payload.get("specimen"),
        about=payload.get("about", ""),
        cards=tuple(map(_card, payload.get("cards") or ())),
        guesses=page.guesses[name],
        votes=page.votes[name],
        tries=page.tries[name],
        paper=page.paper[name],
    )


def _card(plain: Mapping[str, Any]) -> Card:
    return Card(**{part.name: plain[part.name] for part in fields(Card) if part.name in plain})


def _guess(page: RoomPage, event: Event) -> None:
    payload = event.payload
    name, seat = payload.get("round"), payload.get("by")
    if _takes(page, name):
        page.guesses[name][seat] = Guess(seat, payload["points"], event.time, event.number)
        page.tries[name][seat] += 1


def _vote(page: RoomPage, event: Event) -> None:
    payload = event.payload
    name, seat = payload.get("round"), payload.get("by")
    if not _takes(page, name):
        return
    page.tries[name][seat] += 1
    if payload["card"] is None:  # a sheet of paper that was counted wrongly
        page.votes[name].pop(seat, None)
        page.paper[name].discard(seat)
    else:
        page.votes[name][seat] = payload["card"]
        page.paper[name] |= {seat} if payload.get("paper") else set()


def _takes(page: RoomPage, name: str) -> bool:
    return name in page.rounds and page.rounds[name].is_open


def _claim(page: RoomPage, event: Event) -> None:
    payload = event.payload
    gone = page.claims.get(payload.get("take_back"))
    if gone:
        page.claims[gone.number] = replace(gone, taken_back=True)
    if "claim" not in payload:
        return
    earlier = page.claims.get(payload.get("instead_of"))
    if earlier:
        page.claims[earlier.number] = replace(earlier, replaced_by=event.number)
    page.claims[event.number] = Claim(
        event.number,
        payload["claim"],
        payload.get("evidence", ""),
        payload.get("reason", ""),
        payload["level"],
        event.role,
        event.time,
        payload.get("edge"),
        payload.get("feature"),
        tuple(payload.get("arms") or ()),
        payload.get("by"),
        payload.get("instead_of"),
        unless=payload.get("unless", ""),
        higher=payload.get("higher"),
    )


def _decide(page: RoomPage, event: Event) -> None:
    payload = event.payload
    if "undo" in payload:
        page.decisions.pop(payload["undo"], None)
    else:
        said = payload["card"], payload["minutes"], payload.get("round")
        page.decisions[event.number] = Decision(event.number, *said, event.role, event.reason, event.time)


def _accept(page: RoomPage, event: Event) -> None:
    worry = event.payload["worry"]
    if event.payload.get("undo"):
        page.accepted.pop(worry, None)
    else:
        page.accepted[worry] = Acceptance(worry, event.role, event.reason, event.time)


def _words(page: RoomPage, event: Event) -> None:
    payload = event.payload
    if "undo" in payload:
        page.words.pop(payload["undo"], None)
    elif payload.get("slot") in SLOTS:
        page.words[event.number] = SlotText(
            event.number, payload["slot"], payload["text"], event.role, event.time
        )


def _shy(page: RoomPage, event: Event) -> None:
    heard = page.shy.get(event.payload.get("heard"))
    if heard:
        page.shy[heard.number] = replace(heard, heard=True)
    if "text" in event.payload:
        page.shy[event.number] = ShyQuestion(event.number, event.payload["text"], event.time)


ENTER_ROOM: Mapping[str, Callable[[RoomPage, Event], None]] = {
    "show": _show,
    "curtain": _curtain,
    "round": _round,
    "guess": _guess,
    "vote": _vote,
    "claim": _claim,
    "decide": _decide,
    "accept": _accept,
    "words": _words,
    "shy": _shy,
}
"""What a line of each kind changes in the room."""
