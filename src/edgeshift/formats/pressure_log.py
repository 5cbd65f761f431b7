"""A gauge's log: a time and a pressure on each line, as any logger writes them, finished or still growing.

Times are minutes, seconds or hours since something, or clock times with or without a date. The pressure's
unit stands in the file or was said; it is never guessed. A comma may divide columns, stand in a number or
in a clock's seconds: the file is cut in every way, and only one reading of it may make sense.
"""

from __future__ import annotations

import re
from datetime import datetime
from itertools import pairwise
from typing import NamedTuple

from edgeshift.errors import UnreadableFile
from edgeshift.formats.decoding import lines_of
from edgeshift.formats.number_rows import MARKERS, STARTS_A_NUMBER, STYLES, Style, is_number

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
TIME_NAMES = {*MINUTES, "time", "t"}
PRESSURE_NAMES = {*MBAR, "pressure", "p"}
DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
CLOCK = re.compile(r"(?:(\d{4}-\d{2}-\d{2})T)?(\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?)(Z|[+-]\d{2}:?\d{2})?")
WHOLE_SECONDS = re.compile(r"(?:.*T)?\d{1,2}:\d{2}:\d{2}")
THOUSANDTHS = re.compile(r"\d{3}")
WORD = re.compile(r"[A-Za-z]+")
BRACKET = re.compile(r"\s+(?=[\[(])")
FEWEST = 2
MOST_BACK = 0.5
"""Where more than this share of the steps runs back in time, the column holds no times (our choice)."""
DAY_MIN = 1440.0
EPOCH = datetime(2000, 1, 1)
HEADED = "Put the time first, or head the columns: minutes,mbar."


class PressureLog(NamedTuple):
    """What the log says: minutes (rising) on its own clock, mbar, and the clock time of minute 0, if any.

    `zero` is ISO 8601 (with a zone only where the log has one), or "HH:MM" where the log names no date.
    `complaints` say which lines do not count, and whether times ran back.
    """

    minutes: tuple[float, ...]
    mbar: tuple[float, ...]
    zero: str | None
    complaints: tuple[str, ...] = ()


def read(file: str, data: bytes, unit: str | None = None) -> PressureLog:
    """The readings of a log. `unit` is the pressure's where the file does not say it.

    The last line of a growing file may be half written: without its line end it is left for the next time.
    Raises UnreadableFile where no two readings, no unit, several columns of pressures or no rising times are
    found, and where the lines make sense in two ways.
    """
    lines = [line.strip() for line in lines_of(file, data)[:-1]]
    told = [line for line in lines if line and not line.startswith(tuple(MARKERS))]
    numbered = [line for line in told if STARTS_A_NUMBER.match(line)]
    table = _only_reading(file, numbered)
    words = [line for line in lines if not STARTS_A_NUMBER.match(line)]
    heading = _heading(lines, numbered[0], table.style)
    if table.clocked:
        minutes, zero = _clock_minutes(table.rows)
        pressures = [row.numbers[0] for row in table.rows]
    else:
        at = 1 if heading and _swapped(heading) else 0
        per = _per_minute(heading[at] if heading else " ".join(words))
        minutes, zero = [row.numbers[at] * per for row in table.rows], None
        pressures = [row.numbers[1 - at] for row in table.rows]
    back = sum(after < one for one, after in pairwise(minutes))
    if back > MOST_BACK * (len(minutes) - 1):
        found = f"times that run back at {back} of {len(minutes)} lines"
        raise UnreadableFile(file, "times that rise", found, HEADED)
    factor = _unit(file, " ".join(lines), unit)
    kept = _rising(minutes, [each * factor for each in pressures])
    unread = len(numbered) - len(table.rows) + _words_among(told, numbered)
    return PressureLog(*kept, zero, _complaints(unread, pressures, back))


def is_one(file: str, data: bytes) -> bool:
    """Whether a file is surely a gauge's log: it reads as one, and by its clock or by the line of its column
    names no scan would be written so."""
    try:
        read(file, data)
    except UnreadableFile:
        return False
    lines = [line.strip() for line in lines_of(file, data)[:-1]]
    numbered = [line for line in lines if STARTS_A_NUMBER.match(line)]
    if _only_reading(file, numbered).clocked:
        return True
    before = lines[: lines.index(numbered[0])][-1:]
    names = {word.lower() for line in before for word in WORD.findall(line)}
    return bool(names & PRESSURE_NAMES and names & TIME_NAMES)


class _Row(NamedTuple):
    clock: str | None
    date: str | None
    zone: str | None
    numbers: tuple[float, ...]


class _Table(NamedTuple):
    """Lines cut in one way: those of a time and a pressure, or (`columns` tells) of something else."""

    style: Style
    clocked: bool
    columns: int
    rows: list[_Row]

    @property
    def fits(self) -> bool:
        return self.columns == 2


def _only_reading(file: str, lines: list[str]) -> _Table:
    """The cut that reads most lines as a time and a pressure; two of them must not say different things."""
    tables = [_cut(lines, style) for style in STYLES]
    fitting = [one for one in tables if one.fits and len(one.rows) >= FEWEST]
    needed = "one time and one pressure a line"
    if not fitting:
        other = max(tables, key=lambda one: len(one.rows))
        if len(other.rows) >= FEWEST and other.columns > 2:
            act = "Export just these two columns."
            raise UnreadableFile(file, needed, f"{other.columns} columns", act)
        seen = sum(len(one.rows) for one in tables if one.fits)
        found = f"{seen} such lines" + (f"; the first begins {lines[0][:30]!r}" if lines else "")
        raise UnreadableFile(file, "lines of a time and a pressure", found, "Check the file.")
    best = max(fitting, key=lambda one: len(one.rows))
    if 2 * len(best.rows) <= len(lines):
        unlike = next(line for line in lines if _row(line, best.style) is None)
        found = f"{len(lines) - len(best.rows)} lines of {len(lines)} that are not, as {unlike[:30]!r}"
        raise UnreadableFile(file, needed, found, "Export just these two columns.")
    if any(len(one.rows) == len(best.rows) and str(one.rows) != str(best.rows) for one in fitting):
        found = f"commas that may divide columns or stand in numbers, as in {lines[0][:30]!r}"
        raise UnreadableFile(file, needed, found, "Export it with a semicolon between the columns.")
    return best


def _cut(lines: list[str], style: Style) -> _Table:
    """The lines as one style reads them; of several kinds of rows the one that is found most often."""
    kinds: dict[tuple[bool, int], list[_Row]] = {}
    for line in lines:
        row = _row(line, style)
        if row is not None:
            clocked = row.clock is not None
            kinds.setdefault((clocked, len(row.numbers) + clocked), []).append(row)
    if not kinds:
        return _Table(style, False, 0, [])
    (clocked, columns), rows = max(kinds.items(), key=lambda kind: len(kind[1]))
    return _Table(style, clocked, columns, rows)


def _row(line: str, style: Style) -> _Row | None:
    """The date, the clock and the numbers of a line; None where anything else stands on it."""
    words = [word for cell in style.words(line) for word in cell.split()]
    clock, date, zone, numbers = None, None, None, []
    for at, word in enumerate(words):
        found = CLOCK.fullmatch(word)
        if found and clock is None:
            date, clock, zone = found[1] or date, found[2].replace(",", "."), found[3]
        elif DATE.fullmatch(word) and date is None:
            date = word
        elif at and at + 1 < len(words) and _thousandths(style, words[at - 1], word):
            clock = f"{clock}.{word}"
        elif is_number(word):
            numbers.append(float(word))
        elif word.lower() not in MBAR:
            return None
    return _Row(clock, date, zone, tuple(numbers)) if numbers and (clock or not date) else None


def _thousandths(style: Style, before: str, word: str) -> bool:
    """Whether a comma cut thousandths off a clock: three digits behind whole seconds, and more to come."""
    return style.separator == "," and bool(WHOLE_SECONDS.fullmatch(before) and THOUSANDTHS.fullmatch(word))


def _heading(lines: list[str], first: str, style: Style) -> list[str]:
    """What stands over the two columns, from the line before the first reading; empty where nothing does."""
    at = lines.index(first)
    said = BRACKET.sub("", lines[at - 1].lstrip(MARKERS + " ")) if at else ""
    cells = [cell.strip() for cell in said.split(style.separator) if cell.strip()]
    return cells if len(cells) == 2 else []


def _swapped(heading: list[str]) -> bool:
    """Whether the first column is named a pressure and the second a time."""
    first, second = ({word.lower() for word in WORD.findall(cell)} for cell in heading)
    return bool(first & PRESSURE_NAMES and second & TIME_NAMES and not first & TIME_NAMES)


def _unit(file: str, text: str, said: str | None) -> float:
    named = {word for word in map(str.lower, WORD.findall(text)) if word in MBAR}
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


def _rising(minutes: list[float], mbar: list[float]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Readings in the order of time, each time once; what is no pressure (zero or less) is left out."""
    found = {round(at, 4): value for at, value in zip(minutes, mbar, strict=True) if _is_pressure(value)}
    order = sorted(found)
    return tuple(order), tuple(found[at] for at in order)


def _is_pressure(value: float) -> bool:
    return 0 < value < float("inf")


def _words_among(told: list[str], numbered: list[str]) -> int:
    """Lines of words that stand among the readings, where a reading was to be."""
    return len(told) - told.index(numbered[0]) - len(numbered)


def _complaints(unread: int, pressures: list[float], back: int) -> tuple[str, ...]:
    """What was not taken as it stands."""
    none = sum(not _is_pressure(each) for each in pressures)
    said = (
        (unread, "without a time and a pressure: left out"),
        (none, "with a pressure of zero, less or none: left out"),
        (back, "with a time before the line above: put in order"),
    )
    return tuple(f"{count} line{'s' if count > 1 else ''} {what}." for count, what in said if count)
