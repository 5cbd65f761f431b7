"""The numbers of a figure as tables: for reading aloud at most some sixty rows, for hearing all."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np

from edgeshift.figures.ranges import reach
from edgeshift.records.figure import (
    Band,
    Bench,
    Board,
    Cards,
    DayLine,
    Fan,
    Fans,
    Field,
    Figure,
    FigureTable,
    FlagMark,
    Intervals,
    Ladder,
    Line,
    LineUp,
    Muster,
    Numbers,
    Panel,
    Plot,
    Shelf,
)
from edgeshift.records.shift_state import moment
from edgeshift.wording import day
from edgeshift.wording import figures as figure_words
from edgeshift.wording import tables as words

MOST_ROWS = 60
MOST_CELLS = 8
"""Of a map for reading, across and down."""
Cell = str | float | None
Rows = list[tuple[Cell, ...]]


def tables_of(figure: Figure, full: bool = False) -> tuple[FigureTable, ...]:
    """One table for each thing a panel shows; a panel without numbers has none.

    A table for reading has at most MOST_ROWS rows and no more digits than the band of a value earns; what it
    leaves out its title says. A `full` one has every point as it is.
    """
    return tuple(
        table for panel in figure.panels if type(panel) in _MADE for table in _MADE[type(panel)](panel, full)
    )


class _Curve(NamedTuple):
    """One line with the band of its own role in its own strip; without one, nothing but the line."""

    name: str
    line: Line
    band: Band | None


def _plot(plot: Plot, full: bool) -> list[FigureTable]:
    """Curves that share their energies share a table; doubted points have one of their own."""
    by_energies: dict[Numbers, list[_Curve]] = {}
    for curve in _curves(plot):
        by_energies.setdefault(curve.line.x, []).append(curve)
    tables = [_curve_table(x, curves, full) for x, curves in by_energies.items()]
    flags = [mark for strip in plot.strips for mark in strip.marks if isinstance(mark, FlagMark)]
    rows: Rows = [(_short(flag.x, 0.05), _short(flag.y, None), flag.words or flag.code) for flag in flags]
    return tables + ([FigureTable(words.DOUBTED, words.FLAGS, tuple(rows))] if rows else [])


def _curves(plot: Plot) -> list[_Curve]:
    found = []
    for strip in plot.strips:
        bands = {mark.role: mark for mark in strip.marks if isinstance(mark, Band)}
        for line in (mark for mark in strip.marks if isinstance(mark, Line)):
            band = bands.get(line.role)
            same = band is not None and band.x == line.x
            found.append(_Curve(line.name or strip.title or words.CURVE, line, band if same else None))
    return found


def _curve_table(x: Numbers, curves: list[_Curve], full: bool) -> FigureTable:
    heads = [head for curve in curves for head in words.columns_of(curve.name, curve.band is not None)]
    places = range(len(x)) if full else _worth_reading(x, curves)
    rows = tuple(
        (
            x[at] if full else _short(x[at], 0.05),
            *(cell for curve in curves for cell in _cells(curve, at, full)),
        )
        for at in places
    )
    title = words.part_of(words.CURVES, len(rows), len(x))
    return FigureTable(title, (words.ENERGY, *heads), rows)


def _worth_reading(x: Numbers, curves: list[_Curve]) -> list[int]:
    """Every curve's highest and lowest point, and as many others, evenly, as a reader bears."""
    if len(x) <= MOST_ROWS:
        return list(range(len(x)))
    picked: set[int] = set()
    for curve in curves:
        y = np.asarray(curve.line.y, dtype=float)
        if np.isfinite(y).any():
            picked |= {int(np.nanargmax(y)), int(np.nanargmin(y))}
    even = np.linspace(0, len(x) - 1, MOST_ROWS - len(picked)).round().astype(int)
    return sorted(picked | set(even.tolist()))


def _cells(curve: _Curve, at: int, full: bool) -> tuple[Cell, ...]:
    """A value and its band's ends; for reading with two digits of half the band."""
    value = curve.line.y[at]
    if curve.band is None:
        return (_known(value) if full else _short(value, _step(curve)),)
    low, high = curve.band.low[at], curve.band.high[at]
    if full:
        return _known(value), _known(low), _known(high)
    half = (high - low) / 2
    return tuple(_short(one, half) for one in (value, low, high))


def _step(curve: _Curve) -> float:
    """A hundredth of what a curve without a band reaches over stands for its give-or-take."""
    low, high = reach([curve.line.y]) or (0.0, 1.0)
    return (high - low) / 100


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _short(value: float, give_or_take: float | None) -> float | None:
    """The value with two digits of its give-or-take, or three figures of its own."""
    size = give_or_take if give_or_take and math.isfinite(give_or_take) else abs(value) / 10
    if not math.isfinite(value):
        return None
    places = 1 - math.floor(math.log10(size)) if size > 0 else 0
    return round(value, places) + 0.0


def _ladder(ladder: Ladder, full: bool) -> list[FigureTable]:
    """Dots from the top rung down; a rung without dots has a row that says why."""
    rows: Rows = []
    span = ladder.ruler.high - ladder.ruler.low if ladder.ruler else 1.0
    for rung in reversed(ladder.rungs):
        state = figure_words.STATES[rung.state]
        dots = [dot for row in rung.rows for dot in row.dots]
        rows += [(rung.title, state, rung.words, None)] if not dots else []
        rows += [
            (rung.title, state, dot.what, dot.value if full else _short(dot.value, span / 100))
            for dot in dots
        ]
    value = f"{words.RUNG[-1]}: {ladder.ruler.words}" if ladder.ruler else words.RUNG[-1]
    return [_held(words.RUNGS, (*words.RUNG[:-1], value), rows, full)]


def _shelf(shelf: Shelf, full: bool) -> list[FigureTable]:
    rows: Rows = [
        (row.name, tick.scan, words.VERDICTS[tick.state], tick.words)
        for row in shelf.rows
        for tick in row.ticks
    ]
    if len(rows) > MOST_ROWS and not full:  # what was kept without a word is counted by the tally
        rows.sort(key=lambda row: row[2] == words.VERDICTS["keep"])
    return [_held(words.SHELF, words.SCAN, rows, full)]


def _intervals(causes: Intervals, full: bool) -> list[FigureTable]:
    shares = [(row.name, (row.value, row.low, row.high), row.words) for row in causes.rows]
    rows: Rows = [(name, *(v if full else round(v, 2) for v in held), told) for name, held, told in shares]
    return [_held(words.CAUSES, words.CAUSE, rows, full)]


def _board(board: Board, full: bool) -> list[FigureTable]:
    rows: Rows = [
        (one.name, *(figure_words.STATES[state] for state in one.states), one.words, one.stamp)
        for one in board.ladders
    ]
    return [_held(words.BOARD, ("edge", *board.titles, "verdict", "declared"), rows, full)]


def _day(line: DayLine, full: bool) -> list[FigureTable]:
    rows: Rows = []
    for one in line.moments:
        start, end = (day.clock(moment(at), line.offset_min) if at else "" for at in (one.start, one.end))
        rows.append((start, end, day.what(one)))
    return [_held(words.DAY, words.MOMENT, rows, full)]


def _fan(fan: Fan, full: bool) -> list[FigureTable]:
    """The readings; the forecast from now on; and the answer, with the limit that it is about."""
    x, y = fan.ruler.words, fan.scale
    read = list(zip(fan.x, fan.y, strict=True))
    tables = [_thinned(words.READINGS, (x, y), read, full)] if read else []
    if fan.future:
        one = fan.future
        rows = list(zip(one.x, one.low, one.quarter, one.middle, one.three_quarters, one.high, strict=True))
        tables.append(_thinned(words.FORECAST, (x, *words.SPREAD), rows, full))
    ends = [(f"{y}: {' '.join(fan.limit_words).strip()}", fan.limit)] if fan.limit is not None else []
    if fan.capsule:
        held = (fan.capsule.low, fan.capsule.value, fan.capsule.high)
        ends += [(f"{x}: {name}", value) for name, value in zip(words.ENDS, held, strict=True)]
    if ends:
        rows = [(name, value if full or value is None else _short(value, None)) for name, value in ends]
        tables.append(FigureTable(words.LIMIT, words.WHAT_AND_VALUE, tuple(rows)))
    return tables


def _thinned(title: str, columns: tuple[str, ...], rows: list[tuple[float, ...]], full: bool) -> FigureTable:
    """For reading evenly spread rows with three figures each."""
    if full:
        return FigureTable(title, columns, tuple(tuple(map(_known, row)) for row in rows))
    places = np.linspace(0, len(rows) - 1, min(MOST_ROWS, len(rows))).round().astype(int)
    shown = tuple(tuple(_short(one, None) for one in rows[at]) for at in places)
    return FigureTable(words.part_of(title, len(shown), len(rows)), columns, shown)


def _fans(fans: Fans, full: bool) -> list[FigureTable]:
    held = [(row, (row.middle, *row.whole, *row.half, *row.formal)) for row in fans.rows]
    rows: Rows = [(row.name, *(v if full else round(v, 3) for v in values)) for row, values in held]
    return [_held(words.SHARES, words.SHARE, rows, full)]


def _field(field: Field, full: bool) -> list[FigureTable]:
    """A map row by row, from its top; for reading the means of at most eight rows and columns."""
    whole = np.array(field.rows, dtype=float)
    shown = whole if full else _coarse(whole)
    rows: Rows = [
        (f"{words.ROW} {number}", *(_known(v) if full else _short(v, None) for v in values.tolist()))
        for number, values in enumerate(shown, 1)
    ]
    columns = (words.FROM_TOP, *(str(number) for number in range(1, shown.shape[1] + 1)))
    title = f"{field.name}, {field.ruler.words}"
    if shown.shape != whole.shape:
        title = words.means_of(title, shown.shape, whole.shape)
    return [FigureTable(title, columns, tuple(rows))]


def _coarse(whole: np.ndarray) -> np.ndarray:
    """Means over blocks of cells; a block without a number has none."""
    down, across = (np.linspace(0, size, min(MOST_CELLS, size) + 1).astype(int)[:-1] for size in whole.shape)
    known = np.isfinite(whole)

    def summed(values: np.ndarray) -> np.ndarray:
        return np.add.reduceat(np.add.reduceat(values, down, axis=0), across, axis=1)

    sums, counts = summed(np.where(known, whole, 0.0)), summed(known.astype(float))
    return np.divide(sums, counts, out=np.full(sums.shape, np.nan), where=counts > 0)


def _muster(muster: Muster, full: bool) -> list[FigureTable]:
    rows: Rows = [(mark.name, words.PRESENCE[mark.state], mark.words) for mark in muster.marks]
    rows += [(words.OTHERS, "", muster.rest)] if muster.rest else []
    return [_held(words.ELEMENTS, words.ELEMENT, rows, full)]


def _lineup(lineup: LineUp, full: bool) -> list[FigureTable]:
    rows: Rows = [(lineup.name, words.PRESENCE[lineup.state], lineup.verdict)]
    rows += [(one.name, words.EXCLUDED[one.excluded, one.beside], one.why) for one in lineup.suspects]
    return [_held(words.LINEUP, words.SUSPECT, rows, full)]


def _cards(cards: Cards, full: bool) -> list[FigureTable]:
    """Cards that lie face down are counted and tell nothing."""
    faces: Rows = [
        (one.title, one.minutes, one.settles, one.predicted, one.cannot_fix) for one in cards.cards
    ]
    if cards.hidden:
        faces = [(words.FACE_DOWN, None, "", "", "")] * len(cards.cards)
    return [_held(words.CARDS, words.CARD, faces, full)]


def _bench(bench: Bench, full: bool) -> list[FigureTable]:
    """What every claim level asks for and whether the data meet it; then the stress."""
    needs: Rows = [
        (f"{one.level}", one.words, words.NEED_STATES[one.state], one.number, one.act) for one in bench.needs
    ]
    stress: Rows = [(one.words, float(one.kept), float(one.tried)) for one in bench.stress]
    tables = [_held(words.LEVELS, words.LEVEL, needs, full)]
    return tables + ([_held(words.STRESS, words.STRESSED, stress, full)] if stress else [])


def _held(title: str, columns: tuple[str, ...], rows: Rows, full: bool) -> FigureTable:
    shown = rows if full else rows[:MOST_ROWS]
    return FigureTable(words.part_of(title, len(shown), len(rows)), columns, tuple(shown))


_MADE: Mapping[type[Panel], Callable[[Panel, bool], list[FigureTable]]] = {
    Plot: _plot,
    Ladder: _ladder,
    Shelf: _shelf,
    Intervals: _intervals,
    Board: _board,
    DayLine: _day,
    Fan: _fan,
    Fans: _fans,
    Field: _field,
    Muster: _muster,
    LineUp: _lineup,
    Cards: _cards,
    Bench: _bench,
}
