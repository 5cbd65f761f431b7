"""All that was known at one moment, replayed from the book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any

from edgeshift.errors import QuestionRefused
from edgeshift.records.event import Event
from edgeshift.records.room import (
    ENTER_ROOM,
    Acceptance,
    Claim,
    Decision,
    RoomPage,
    Round,
    Shown,
    ShyQuestion,
    SlotText,
)


@dataclass(frozen=True)
class Arrival:
    """One raw file (one entry of it) as it came. `scan` is its key everywhere else.

    `file` is its name in `raw/`; `given` the name it came with, where another file had that name already.
    `number` is the event's. `copies` are other names under which the same bytes came again.
    """

    scan: str
    file: str
    sha256: str
    time: str
    entry: str | None = None
    profile: Mapping[str, Any] | None = None
    copies: tuple[str, ...] = ()
    given: str = ""
    number: int = 0


@dataclass(frozen=True)
class Judgement:
    """What a person decided about a scan, and why."""

    scan: str
    verdict: str
    role: str
    reason: str
    time: str


@dataclass(frozen=True)
class Declaration:
    """A feature that a person named, and after how many arrivals at that moment."""

    edge: str
    feature: Mapping[str, Any]
    matters: float | None
    time: str
    number: int
    reason: str = ""


@dataclass(frozen=True)
class DeclaredTie:
    """An energy shift that a person decided to apply, with its source."""

    shift_ev: float
    sigma_ev: float
    source: str
    edge: str | None = None
    scans: tuple[str, ...] = ()
    time: str = ""


@dataclass(frozen=True)
class ShiftState:
    """The whole of it. `experiment_text` is the last accepted text; parse it with `formats`.

    `events` are those replayed, in order; every other field is derived from them alone. `curtain` holds the
    arms in the order of the lot while it is drawn, and None while it is open.
    """

    events: tuple[Event, ...] = ()
    experiment_text: str = ""
    experiment_number: int = 0
    arrivals: Mapping[str, Arrival] = field(default_factory=dict)
    judgements: Mapping[str, Judgement] = field(default_factory=dict)
    declarations: tuple[Declaration, ...] = ()
    ties: tuple[DeclaredTie, ...] = ()
    places: Mapping[str, Mapping[str, str | None]] = field(default_factory=dict)
    looks: tuple[Event, ...] = ()
    notes: tuple[Event, ...] = ()
    pumping: tuple[Event, ...] = ()
    positions: Mapping[str, Event] = field(default_factory=dict)
    shown: Shown | None = None
    curtain: tuple[str, ...] | None = None
    rounds: Mapping[str, Round] = field(default_factory=dict)
    claims: tuple[Claim, ...] = ()
    decisions: tuple[Decision, ...] = ()
    accepted: Mapping[str, Acceptance] = field(default_factory=dict)
    shy: tuple[ShyQuestion, ...] = ()
    words: tuple[SlotText, ...] = ()
    until: str | None = None


def replay(events: Iterable[Event], until: str | None = None) -> ShiftState:
    """What was known at `until` (ISO 8601, inclusive; None: everything). Pure: same events, same state.

    Raises QuestionRefused where `until` is not a time.
    """
    known = tuple(events)
    if until is not None:
        limit = moment(until)
        known = tuple(event for event in known if moment(event.time) <= limit)
    page = _Page()
    for event in known:
        enter = _ENTER.get(event.kind)
        if enter is not None:
            enter(page, event)
        elif event.kind in ENTER_ROOM:
            ENTER_ROOM[event.kind](page.room, event)
    return _closed(page, known, until)


def moment(text: str) -> datetime:
    """An ISO 8601 text as a moment in UTC (a text without a zone is taken as UTC)."""
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        raise QuestionRefused(
            "the time", "ISO 8601, as 2026-03-01T12:40:00Z", repr(text), "Type the time that way."
        ) from None
    return when if when.tzinfo else when.replace(tzinfo=UTC)


@dataclass
class _Page:
    """The state while it is being read together; never leaves this module."""

    experiment: Event | None = None
    arrivals: dict[str, Arrival] = field(default_factory=dict)
    judged: dict[str, list[Judgement]] = field(default_factory=dict)
    declarations: list[Declaration] = field(default_factory=list)
    ties: list[DeclaredTie] = field(default_factory=list)
    places: dict[str, dict[str, str | None]] = field(default_factory=dict)
    looks: list[Event] = field(default_factory=list)
    notes: list[Event] = field(default_factory=list)
    pumping: list[Event] = field(default_factory=list)
    positions: dict[str, Event] = field(default_factory=dict)
    room: RoomPage = field(default_factory=RoomPage)


def _experiment(page: _Page, event: Event) -> None:
    page.experiment = event


def _arrival(page: _Page, event: Event) -> None:
    """A scan that arrives again is the same file, grown: its place in the order stays the first."""
    payload = event.payload
    scan = payload.get("scan") or scan_key(len(page.arrivals) + 1)
    first = page.arrivals.get(scan)
    page.arrivals[scan] = Arrival(
        scan,
        payload["file"],
        payload["sha256"],
        event.time,
        payload.get("entry"),
        payload.get("profile"),
        given=payload.get("given") or payload["file"],
        number=first.number if first else event.number,
    )


def scan_key(number: int) -> str:
    """The key of the scan that arrived as the `number`-th: scan-001, scan-002 and so on."""
    return f"scan-{number:03d}"


def _duplicate(page: _Page, event: Event) -> None:
    for scan, arrival in page.arrivals.items():
        if arrival.sha256 == event.payload["sha256"]:
            copies = (*arrival.copies, event.payload["file"])
            page.arrivals[scan] = replace(arrival, copies=copies)


def _judge(page: _Page, event: Event) -> None:
    """An undo takes back the last judgement that stands; the one before it stands again."""
    scan, verdict = event.payload["scan"], event.payload["verdict"]
    standing = page.judged.setdefault(scan, [])
    if verdict != "undo":
        standing.append(Judgement(scan, verdict, event.role, event.reason, event.time))
    elif standing:
        standing.pop()


def _declare(page: _Page, event: Event) -> None:
    payload = event.payload
    page.declarations.append(
        Declaration(
            payload["edge"],
            payload["feature"],
            payload.get("matters"),
            event.time,
            len(page.arrivals),
            event.reason,
        )
    )


def _tie(page: _Page, event: Event) -> None:
    payload = event.payload
    scans = tuple(payload.get("scans") or ())
    page.ties.append(
        DeclaredTie(
            payload["shift_ev"],
            payload["sigma_ev"],
            payload["source"],
            payload.get("edge"),
            scans,
            event.time,
        )
    )


def _place(page: _Page, event: Event) -> None:
    payload = event.payload
    page.places[payload["scan"]] = {"specimen": payload.get("specimen"), "spot": payload.get("spot")}


def _look(page: _Page, event: Event) -> None:
    page.looks.append(event)


def _write(page: _Page, event: Event) -> None:
    page.notes.append(event)


def _pump(page: _Page, event: Event) -> None:
    page.pumping.append(event)


def _position(page: _Page, event: Event) -> None:
    """The last scan across a specimen counts."""
    page.positions[event.payload["specimen"]] = event


_ENTER = {
    "experiment": _experiment,
    "arrival": _arrival,
    "duplicate": _duplicate,
    "judge": _judge,
    "declare": _declare,
    "tie": _tie,
    "place": _place,
    "look": _look,
    "write": _write,
    "pressure": _pump,
    "isolate": _pump,
    "position": _position,
}


def _closed(page: _Page, known: tuple[Event, ...], until: str | None) -> ShiftState:
    experiment = page.experiment
    return ShiftState(
        events=known,
        experiment_text=experiment.payload["text"] if experiment else "",
        experiment_number=experiment.number if experiment else 0,
        arrivals=page.arrivals,
        judgements={scan: standing[-1] for scan, standing in page.judged.items() if standing},
        declarations=tuple(page.declarations),
        ties=tuple(page.ties),
        places=page.places,
        looks=tuple(page.looks),
        notes=tuple(page.notes),
        pumping=tuple(page.pumping),
        positions=page.positions,
        shown=page.room.shown,
        curtain=page.room.curtain,
        rounds=page.room.rounds,
        claims=tuple(page.room.claims.values()),
        decisions=tuple(page.room.decisions.values()),
        accepted=page.room.accepted,
        shy=tuple(page.room.shy.values()),
        words=tuple(page.room.words.values()),
        until=until,
    )
