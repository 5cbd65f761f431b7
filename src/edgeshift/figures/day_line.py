"""The day line as data: moments by the clock, the present as a fall, and what is left of the shift."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta

from edgeshift.errors import QuestionRefused
from edgeshift.records.event import PEOPLE, Event
from edgeshift.records.figure import DayLine, Figure, Moment, MomentKind, Role
from edgeshift.records.pump_down import pump_downs
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import Arrival, ShiftState, moment
from edgeshift.wording import day as words
from edgeshift.wording import figures as figure_words

LATE = timedelta(hours=1)
"""A file that came later than this after its scan ended was not followed live (our choice, no source)."""
ANOTHER_DAY = timedelta(hours=14)
"""A file that came so long before its scan ended belongs to another day: no zone is farther ahead of UTC."""
LEAST_AHEAD = timedelta(minutes=30)
"""Paper after the present where nobody said when the shift ends."""
Clock = Callable[[str], str]


def day_line(
    moments: Iterable[Moment],
    now: str,
    end: str | None = None,
    *,
    begin: str | None = None,
    live: str | None = None,
    offset_min: int = 0,
) -> Figure:
    """The day from its first moment (or `begin`) to the `end` of the shift, fallen at `now`.

    Times are ISO 8601; `offset_min` is how far the room's clock is ahead of UTC. `live` is the true present
    where the page was rewound to `now`. Without an `end` nothing is said of minutes left.
    """
    ordered = tuple(sorted(moments, key=lambda one: moment(one.start)))
    at, present = moment(now), moment(live or now)
    first = min([moment(begin or now), at, *(moment(one.start) for one in ordered)])
    last = max([present, *([moment(end)] if end else [present + LEAST_AHEAD])])
    low, high = _hour(first, offset_min), _hour(last - timedelta(seconds=1), offset_min) + timedelta(hours=1)
    minutes = (moment(end) - at).total_seconds() / 60 if end else None
    left = words.left(minutes, live is not None)
    clocks = [words.clock(moment(one.start), offset_min) for one in ordered]
    ends = words.clock(low, offset_min), words.clock(high, offset_min)
    here = words.clock(at, offset_min)
    alt = words.day_alt(ordered, here, ends, left, clocks)
    line = DayLine(_text(low), _text(at), _text(high), ordered, here, left, offset_min, live)
    return Figure("day", "", (line,), figure_words.plain_alt(alt, []), flat=True)


def _hour(when: datetime, offset_min: int) -> datetime:
    """The full hour on the room's clock at or before `when`."""
    there = when.astimezone(UTC) + timedelta(minutes=offset_min)
    return there.replace(minute=0, second=0, microsecond=0) - timedelta(minutes=offset_min)


def _text(when: datetime) -> str:
    return when.astimezone(UTC).isoformat()


def moments_of(
    state: ShiftState,
    scans: Iterable[Scan] = (),
    roles: Mapping[str, Role] | None = None,
    verdicts: Mapping[str, str] | None = None,
    below_since: str = "",
) -> list[Moment]:
    """What the book knows of the day: scans, pump-downs, rounds, and what people decided, declared, noted.

    `scans` give edges, arms and their own times (a scan without one stands where its file arrived); `roles`
    are those of the arms, `verdicts` the tool's by scan key, `below_since` is since when the last load is
    below its limit, as "can we begin?" says it. Whatever has no event (trips, a lunch) is for the caller to
    add. Kinds of events that stand in no table here leave no mark.
    """
    clock = day_clock(state, scans)
    found = _scan_moments(state, list(scans), roles or {}, verdicts or {}, clock)
    found += [*_pump_downs(state, clock, below_since), *_rounds(state, clock)]
    first = True
    for event in state.events:
        if event.kind == "experiment" and first:
            first = False
            continue
        made = _MARKS[event.kind](event) if event.kind in _MARKS and event.role in PEOPLE else None
        if made:
            kind, told = made
            found.append(Moment(kind, clock(event.time), None, told, known=event.time, key=str(event.number)))
    return sorted(found, key=lambda one: moment(one.start))


def day_clock(state: ShiftState, scans: Iterable[Scan]) -> Clock:
    """From the book's time to the time of the day that the scans' own headers tell.

    While files are followed live both are the same. Where they were taken in afterwards, or belong to another
    day as those of a rehearsal do, scans stand where they were measured, and what people did stands behind
    the last scan that the book knew then. An older file among live ones changes nothing.
    """
    own = _own_times(scans)
    came = sorted(
        (moment(arrival.time), own[key][1]) for key, arrival in state.arrivals.items() if key in own
    )
    arrived, latest, live = [], [], []
    for when, measured in came:
        is_newest = not latest or measured >= latest[-1]
        arrived.append(when)
        latest.append(measured if is_newest else latest[-1])
        live.append(-ANOTHER_DAY <= when - measured <= LATE if is_newest else live[-1])

    def placed(text: str) -> str:
        known = bisect_right(arrived, moment(text)) - 1
        if not live or live[max(known, 0)]:
            return text
        return _text(latest[known] if known >= 0 else min(start for start, _ in own.values()))

    return placed


def _own_times(scans: Iterable[Scan]) -> dict[str, tuple[datetime, datetime]]:
    """Start and end by the scan's own header, under every key of its files; unread where it tells none."""
    found = {}
    for scan in scans:
        try:
            start = moment(scan.started or scan.ended or "")
            end = max(start, moment(scan.ended or scan.started or ""))
        except QuestionRefused:  # a header may say anything
            continue
        found |= dict.fromkeys((scan.key, *scan.regions), (start, end))
    return found


def _scan_moments(
    state: ShiftState,
    scans: Sequence[Scan],
    roles: Mapping[str, Role],
    verdicts: Mapping[str, str],
    clock: Clock,
) -> list[Moment]:
    """One moment a scan; a file that belongs to no scan of `scans` is one too, without an edge."""
    own, found, joined = _own_times(scans), [], set()
    for scan in scans:
        files = [state.arrivals[key] for key in (scan.regions or (scan.key,)) if key in state.arrivals]
        joined |= {file.scan for file in files}
        if files:
            last = max(files, key=lambda file: file.number)
            role = roles.get(scan.place.arm or "", "neutral")
            at = own.get(scan.key)
            found.append(_scan_moment(state, last, scan.key, scan.edge, role, at, verdicts, clock))
    for key, arrival in state.arrivals.items():
        if key not in joined:
            found.append(_scan_moment(state, arrival, key, None, "neutral", None, verdicts, clock))
    return found


def _scan_moment(
    state: ShiftState,
    arrival: Arrival,
    key: str,
    edge: str | None,
    role: Role,
    own: tuple[datetime, datetime] | None,
    verdicts: Mapping[str, str],
    clock: Clock,
) -> Moment:
    judged = state.judgements.get(key)
    verdict = judged.verdict if judged else verdicts.get(key, "keep")
    start, end = (_text(own[0]), _text(own[1])) if own else (clock(arrival.time), None)
    return Moment("scan", start, end, edge or words.SCAN, verdict, role, arrival.time, key)


def _pump_downs(state: ShiftState, clock: Clock, below_since: str) -> Iterator[Moment]:
    """One wedge a load, from its first reading to its last.

    A gauge without a clock counted minutes alone: its last reading then stands where it was noted.
    """
    loads = pump_downs(state.pumping)
    for place, load in enumerate(loads.values(), 1):
        noted = next(e.time for e in reversed(state.pumping) if e.payload["load"] == load.load)
        if load.zero and "T" in load.zero:
            end = moment(load.zero) + timedelta(minutes=load.minutes[-1])
        else:
            end = moment(clock(noted))
        start = end - timedelta(minutes=load.minutes[-1] - load.minutes[0])
        told = words.pumped(load.mbar[-1], below_since if place == len(loads) else "")
        yield Moment("vacuum", _text(start), _text(end), told, known=noted, key=f"load-{place}")


def _rounds(state: ShiftState, clock: Clock) -> Iterator[Moment]:
    """When everybody took part, and how many: never who, and while a vote is open not how many either."""
    for one in state.rounds.values():
        number = None if one.is_open else len(one.guesses if one.sort == "guess" else one.votes)
        start, known = clock(one.opened), one.closed or one.opened
        yield Moment(
            "people", start, clock(known), words.took_part(one.sort, number), known=known, key=one.name
        )


_MARKS: Mapping[str, Callable[[Event], tuple[MomentKind, str] | None]] = {
    "experiment": lambda event: ("decision", event.reason or words.TEXT_CHANGED),
    "declare": lambda event: ("decision", words.declared(event.payload["edge"])),
    "tie": lambda event: ("decision", words.tied(event.payload.get("edge") or "")),
    "judge": lambda event: (
        "decision",
        words.judged(figure_words.scan(event.payload["scan"]), event.payload["verdict"]),
    ),
    "write": lambda event: ("note", event.payload["text"]),
    "decide": lambda event: (
        ("decision", event.reason or words.DECIDED) if "undo" not in event.payload else None
    ),
    "claim": lambda event: ("note", words.CLAIMED) if "take_back" not in event.payload else None,
    "curtain": lambda event: ("decision", words.curtain(bool(event.payload.get("drawn")))),
}
"""Which events leave a mark on the line, and how they are told; what was taken back leaves none."""
