"""A gauge's log: a time and a pressure on each line, as any logger writes them, finished or still growing.

Times are minutes, seconds or hours since something, or clock times with or without a date. The pressure's
unit stands in the head of the file or was said; it is never guessed.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import NamedTuple

from edgeshift.errors import UnreadableFile
from edgeshift.formats.decoding import lines_of
from edgeshift.formats.number_rows import MARKERS, is_number

MBAR = {"mbar": 1.0, "hpa": 1.0, "pa": 0.01, "torr": 1.333224, "bar": 1000.0}
"""mbar in one unit of pressure; 1 Torr = 101325/760 Pa."""
MINUTES = {
    "min": 1.0,
    "minutes": 1.0,
    "s": 1 / 60,
    "sec": 1 / 60,
    "seconds": 1 / 60,
    "h": 60.0,
    "hours": 60.0,
}
CLOCK = re.compile(
    r"(?:(\d{4}-\d{2}-\d{2})[T ,;\t]+)?(\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?)(Z|[+-]\d{2}:?\d{2})?"
)
WORD = re.compile(r"[A-Za-z]+")
FEWEST = 2
DAY_MIN = 1440.0
EPOCH = datetime(2000, 1, 1)


class PressureLog(NamedTuple):
    """What the log says: minutes (rising) on its own clock, mbar, and the clock time of minute 0, if any.

    `zero` is ISO 8601 (with a zone only where the log has one), or "HH:MM" where the log names no date.
    """

    minutes: tuple[float, ...]
    mbar: tuple[float, ...]
    zero: str | None


def read(file: str, data: bytes, unit: str | None = None) -> PressureLog:
    """The readings of a log. `unit` is the pressure's where the file does not say it.

    The last line of a growing file may be half written: without its line end it is left for the next time.
    Raises UnreadableFile where no two readings, no unit, or several columns of pressures are found.
    """
    lines = lines_of(file, data)
    rows = [row for row in map(_row, lines[:-1]) if row]
    if len(rows) < FEWEST:
        raise UnreadableFile(
            file, "lines of a time and a pressure", f"{len(rows)} such lines", "Check the file."
        )
    widths = {len(row.numbers) for row in rows}
    clocked = all(row.clock for row in rows)
    columns = 1 if clocked else 2
    if widths != {columns}:
        found = f"{max(widths) + clocked} columns"
        raise UnreadableFile(
            file, "one time and one pressure a line", found, "Export just these two columns."
        )
    head = " ".join(line for line in lines if not _row(line))
    factor = _unit(file, head, unit)
    if clocked:
        minutes, zero = _clock_minutes(rows)
    else:
        per = _per_minute(head)
        minutes, zero = [row.numbers[0] * per for row in rows], None
    kept = _rising(minutes, [row.numbers[-1] * factor for row in rows])
    return PressureLog(tuple(kept[0]), tuple(kept[1]), zero)


def is_one(file: str, data: bytes) -> bool:
    """Whether a file is surely a gauge's log: it reads as one, and by its clock or by the line of its column
    names no scan would be written so."""
    try:
        read(file, data)
    except UnreadableFile:
        return False
    lines = lines_of(file, data)
    first = next(number for number, line in enumerate(lines) if _row(line))
    names = {word.lower() for line in lines[:first][-1:] for word in WORD.findall(line)}
    if _row(lines[first]).clock:
        return True
    return bool(names & {*MBAR, "pressure"} and names & {*MINUTES, "time"})


class _Row(NamedTuple):
    clock: str | None
    date: str | None
    zone: str | None
    numbers: tuple[float, ...]


def _row(line: str) -> _Row | None:
    """A line with a pressure on it; None for words, remarks and empty lines."""
    text = line.strip()
    if not text or text.startswith(tuple(MARKERS)):
        return None
    found = CLOCK.match(text)
    rest = text[found.end() :] if found else text
    if _decimal_comma(rest, clocked=found is not None):
        rest = rest.replace(",", ".")
    words = [word for word in re.split(r"[\s;,]+", rest) if word and word.lower() not in MBAR]
    if not words or not all(map(is_number, words)):
        return None
    numbers = tuple(float(word) for word in words)
    if not found:
        return _Row(None, None, None, numbers)
    return _Row(found[2].replace(",", "."), found[1], found[3], numbers)


def _decimal_comma(rest: str, clocked: bool) -> bool:
    """Whether commas stand inside numbers: then something else keeps these apart, be it only a clock."""
    apart = clocked and rest[:1] != "," or re.search(r"[;\s]", rest.strip())
    return bool(apart) and "." not in rest and re.search(r"(?<!\d),|,(?!\d)", rest) is None


def _unit(file: str, head: str, said: str | None) -> float:
    named = {word for word in map(str.lower, WORD.findall(head)) if word in MBAR}
    if said is not None:
        if said.lower() not in MBAR:
            raise UnreadableFile(
                file, "a unit of mbar, hPa, Pa, Torr or bar", repr(said), "Say one of these."
            )
        return MBAR[said.lower()]
    if len(named) == 1:
        return MBAR[named.pop()]
    found = "no unit" if not named else " and ".join(sorted(named))
    raise UnreadableFile(file, "the unit of its pressures", found, "Say it: --unit mbar.")


def _per_minute(head: str) -> float:
    """Minutes in one unit of the time column; a log that names none counts minutes."""
    named = [word for word in map(str.lower, WORD.findall(head)) if word in MINUTES]
    return MINUTES[named[0]] if named else 1.0


def _clock_minutes(rows: list[_Row]) -> tuple[list[float], str]:
    """Minutes since the first reading's clock; a clock without dates that runs over midnight goes on."""
    minutes, before, days = [], 0.0, 0
    for row in rows:
        clock = row.clock if row.clock[1] != ":" else f"0{row.clock}"
        since = datetime.fromisoformat(f"{row.date or '2000-01-01'}T{clock}") - EPOCH
        at = since.total_seconds() / 60 + days * DAY_MIN
        if row.date is None and minutes and before - at > DAY_MIN / 2:
            days, at = days + 1, at + DAY_MIN
        minutes.append(at)
        before = at
    first = rows[0]
    zero = f"{first.date}T{first.clock}{first.zone or ''}" if first.date else first.clock
    return [each - minutes[0] for each in minutes], zero


def _rising(minutes: list[float], mbar: list[float]) -> tuple[list[float], list[float]]:
    """Readings in the order of time, each time once; what is no pressure (zero or less) is left out."""
    found = {}
    for at, value in zip(minutes, mbar, strict=True):
        if value > 0 and value < float("inf"):
            found[round(at, 4)] = value
    order = sorted(found)
    return order, [found[at] for at in order]
