"""Every scan of the shift on shelves: one row an edge, one small edge a scan, the hurt in plum."""

from __future__ import annotations

from typing import NamedTuple

from edgeshift.drawing.metrics import shorten
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shoulder import step_mark
from edgeshift.drawing.svg import clean
from edgeshift.records.figure import Shelf, ShelfRow, StepState, Tick

_STATES: dict[str, StepState] = {"keep": "answered", "keep-with-a-note": "partly", "set-aside": "failed"}


def draw_shelf(pen: Pen, shelf: Shelf, box: Box) -> None:
    """Rows from the top, each with its plank, its tally, and the reasons that hang beneath."""
    columns = _columns(pen, shelf, box)
    needs = [_row_height(pen, row, columns) for row in shelf.rows]
    air = min(56 * pen.sizes.scale, max(0.0, box.height - sum(needs)) / max(1, len(needs)))
    top = box.top
    for place, (row, need) in enumerate(zip(shelf.rows, needs, strict=True)):
        if top + need > box.bottom + 1:
            left = len(shelf.rows) - place
            pen.text((box.left, box.bottom), f"and {left} more edges", pen.sizes.small, token="ink2")
            return
        _draw_row(pen, row, Box(box.left, top, box.width, need), columns)
        top += need + air


def shelf_height(pen: Pen, shelf: Shelf, width: float) -> float:
    """Pixels the shelf wants where it stands alone."""
    columns = _columns(pen, shelf, Box(0.0, 0.0, width, 0.0))
    return sum(_row_height(pen, row, columns) + 16 * pen.sizes.scale for row in shelf.rows)


class _Columns(NamedTuple):
    """Where marks begin, how far apart they stand, how many fit in a line, and whether names stand above."""

    start: float
    pitch: float
    fit: int
    stacked: bool


def _columns(pen: Pen, shelf: Shelf, box: Box) -> _Columns:
    scale = pen.sizes.scale
    stacked = box.width < 600
    names = max((pen.width(row.name, pen.sizes.name, "bold") for row in shelf.rows), default=0.0)
    tallies = max((pen.width(row.tally, pen.sizes.small) for row in shelf.rows), default=0.0)
    start = box.left if stacked else box.left + min(names, 0.2 * box.width) + 30 * scale
    room = box.right - start - (0 if stacked else tallies + 30 * scale)
    most = max((len(row.ticks) for row in shelf.rows), default=1)
    pitch = max(28.0 * scale, min(46.0 * scale, room / max(1, most)))
    return _Columns(start, pitch, max(1, int(room / pitch + 1e-6)), stacked)


def _lines(row: ShelfRow, columns: _Columns) -> int:
    return max(1, -(-len(row.ticks) // columns.fit))


def _reasons(row: ShelfRow) -> list[tuple[int, Tick]]:
    """The scans whose words are printed: those set aside, at most three an edge."""
    aside = [(place, tick) for place, tick in enumerate(row.ticks) if tick.state == "set-aside"]
    return [(place, tick) for place, tick in aside if tick.words][:3]


def _row_height(pen: Pen, row: ShelfRow, columns: _Columns) -> float:
    scale = pen.sizes.scale
    head = 1.5 * pen.sizes.name if columns.stacked else 0.0
    shelves = _lines(row, columns) * 40 * scale
    return head + shelves + len(_reasons(row)) * 1.32 * pen.sizes.small + 12 * scale


def _draw_row(pen: Pen, row: ShelfRow, box: Box, columns: _Columns) -> None:
    scale, top = pen.sizes.scale, box.top
    baseline = top + (0.9 * pen.sizes.name if columns.stacked else 26 * scale)
    wide = box.width / 2 if columns.stacked else columns.start - box.left - 16
    name = shorten(row.name, pen.sizes.name, wide, "bold")
    pen.text((box.left, baseline), name, pen.sizes.name, voice="bold")
    pen.text((box.right, baseline), row.tally, pen.sizes.small, anchor="end", token="ink2")
    top += 1.5 * pen.sizes.name if columns.stacked else 0.0
    feet = {}
    for place, tick in enumerate(row.ticks):
        line, column = divmod(place, columns.fit)
        left = columns.start + column * columns.pitch
        mark = Box(left, top + (line * 40 + 6) * scale, 23 * scale, 18 * scale)
        _draw_tick(pen, tick, mark)
        feet[place] = (mark.left + mark.width / 2, mark.bottom)
    for line in range(_lines(row, columns)):
        y = top + line * 40 * scale + 32 * scale
        stop = columns.start + min(columns.fit, len(row.ticks) - line * columns.fit) * columns.pitch
        pen.segment((columns.start - 6, y), (stop - columns.pitch + 30 * scale, y), "ink", 2.0 * scale)
    beneath = Box(box.left, top + _lines(row, columns) * 40 * scale, box.width, 0.0)
    _draw_reasons(pen, row, feet, beneath, columns.start)


def _draw_tick(pen: Pen, tick: Tick, mark: Box) -> None:
    shown = f"{tick.scan}: {tick.words}" if tick.words else tick.scan
    pen.marks.append(f"<g><title>{clean(shown)}</title>")
    step_mark(pen, _STATES[tick.state], mark, "plum" if tick.state == "set-aside" else "ink")
    pen.marks.append("</g>")


def _draw_reasons(
    pen: Pen, row: ShelfRow, feet: dict[int, tuple[float, float]], box: Box, start: float
) -> None:
    """Reasons beneath the plank, the last scan's first, so that no leader crosses words.

    Where the scans stand in several lines, the reasons are a plain list: leaders would cross marks.
    """
    size, listed = pen.sizes.small, len({foot[1] for foot in feet.values()}) > 1
    for line, (place, tick) in enumerate(_reasons(row) if listed else reversed(_reasons(row))):
        y = box.top + line * 1.32 * size + 0.75 * size
        words = shorten(f"{tick.scan}: {tick.words}", size, box.width - 10)
        x = feet[place][0]
        left = max(box.left, min(x - 4, box.right - pen.width(words, size)))
        if listed:
            left = start
        else:
            pen.segment((x, feet[place][1] + 5), (x, y - 0.85 * size), "plum", 1.8 * pen.sizes.scale)
        pen.text((left, y), words, size, token="plum")
