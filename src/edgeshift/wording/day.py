"""The words of the day line: what the clock says, what is left, and the whole of it for the ear."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta

from edgeshift.records.figure import Moment
from edgeshift.wording.figures import printed
from edgeshift.wording.numbers import count

OVER = "The shift is over."
TEXT_CHANGED = "experiment text changed"
SCAN = "scan"
DECIDED = "the group decided"
PUMPING = "pumping"
CLAIMED = "a claim was written"
LANES = {"people": "people", "vacuum": "vacuum", "scans": "beam and scans", "decisions": "decisions"}
KINDS = {"trip": "beam trip", "decision": "decision", "note": "note", "plan": "planned"}
STATES = {"set-aside": "set aside", "running": "running", "keep-with-a-note": "kept with a note"}


def clock(when: datetime, offset_min: int) -> str:
    """The hour and minute on the room's own clock, as 14:40."""
    there = when.astimezone(UTC) + timedelta(minutes=offset_min)
    return f"{there.hour}:{there.minute:02d}"


def left(minutes: float | None, rewound: bool) -> str:
    """What is left of the shift, in whole minutes; None: nobody said when it ends, so nothing is told."""
    if minutes is None:
        return ""
    if minutes < 1:
        return OVER
    hours, rest = divmod(int(minutes), 60)
    told = " ".join(part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest else "") if part)
    if rewound:
        return f"{told} left then"
    return f"{told} {'is' if (hours, rest) in ((0, 1), (1, 0)) else 'are'} ours"


def left_in(told: str, say: Callable[..., str]) -> str:
    """What `left` told, in the words of another language."""
    if told in ("", OVER):
        return say("day-over") if told else ""
    for ending, key in ((" left then", "day-left-then"), (" are ours", "day-ours"), (" is ours", "day-ours")):
        if told.endswith(ending):
            return say(key, time=told.removesuffix(ending))
    return told


def declared(edge: str) -> str:
    """A feature was named."""
    return f"feature at {edge} declared"


def tied(what: str) -> str:
    """An energy shift was decided on."""
    return f"energy tied at {what}" if what else "energy tied"


def curtain(drawn: bool) -> str:
    """The curtain moved."""
    return "curtain drawn" if drawn else "curtain opened"


def pumped(mbar: float, below_since: str) -> str:
    """A load being pumped, with its last pressure, or since when it is below the limit."""
    if below_since:
        return f"below the typed limit since {below_since}"
    return f"{PUMPING}, {printed(f'{mbar:.1e}')} mbar"


def took_part(sort: str, number: int | None) -> str:
    """A round in which everybody could sketch or vote; `number` of seats, None while nobody may know."""
    if number is None:
        return {"guess": "the room sketches", "vote": "the room votes"}[sort]
    return f"{count(number)} {'sketched' if sort == 'guess' else 'voted'}"


def judged(scan: str, verdict: str) -> str:
    """A person's verdict on a scan (by its token)."""
    return {
        "keep": f"{scan} kept",
        "keep-with-a-note": f"{scan} kept with a note",
        "set-aside": f"{scan} set aside",
        "undo": f"verdict on {scan} taken back",
    }[verdict]


def what(moment: Moment) -> str:
    """What a moment is, without its time."""
    kind = KINDS.get(moment.kind, "")
    said = f"{kind}: {moment.words}" if kind and moment.words and moment.words != kind else moment.words
    state = STATES.get(moment.state, "")
    return ", ".join(part for part in (said or kind or moment.kind, state) if part)


def told(moment: Moment, start: str, end: str) -> str:
    """One moment for whoever cannot see it; `start` and `end` as the clock says them."""
    return f"{what(moment)}, {f'{start} to {end}' if end and end != start else start}"


def day_alt(
    moments: Sequence[Moment], now: str, ends: tuple[str, str], left_words: str, times: Sequence[str]
) -> str:
    """The day in words: scans of one edge in a row are counted, all else is told one by one.

    `times` are the clock's words for the start of each moment, `ends` those of the whole line.
    """
    said = [f"The day from {ends[0]} to {ends[1]}; it is {now}"]
    at = dict(zip(map(id, moments), times, strict=True))
    for some in together(moments):
        first, last = at[id(some[0])], at[id(some[-1])]
        if some[0].kind != "scan":
            said.append(told(some[0], first, ""))
            continue
        aside = sum(one.state == "set-aside" for one in some)
        number = f"{count(len(some))} {'scan' if len(some) == 1 else 'scans'}"
        where = f" of {some[0].words}" if some[0].words not in ("", SCAN) else ""
        when = first if len(some) == 1 else f"{first} to {last}"
        said.append(f"{number}{where}, {when}{f', {count(aside)} set aside' if aside else ''}")
    whole = [one.rstrip(".") for one in (*said, left_words) if one]
    return " ".join(f"{one[0].upper()}{one[1:]}." for one in whole)


def together(moments: Sequence[Moment]) -> list[list[Moment]]:
    """Scans of one edge in a row, whatever people did between them; every other moment alone."""
    found: list[list[Moment]] = []
    run: list[Moment] = []
    for one in moments:
        if one.kind == "scan" and run and run[0].words == one.words:
            run.append(one)
            continue
        found.append([one])
        run = found[-1] if one.kind == "scan" else run
    return found
