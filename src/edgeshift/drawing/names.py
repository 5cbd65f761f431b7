"""Where words go so that they never lie on one another: at line ends, and in the air of a strip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from edgeshift.drawing.curves import Frame, array
from edgeshift.drawing.markers import marker
from edgeshift.drawing.metrics import ASCENT, DESCENT, evenly, fit_lines, shorten, wrap
from edgeshift.drawing.pen import Pen
from edgeshift.records.figure import Band, Label, Line, Numbers, Strip

LEADING = 1.16


def spread(wanted: list[float], heights: list[float], top: float, bottom: float) -> list[float]:
    """Centres near `wanted` (sorted upwards), each with its `height`, that do not overlap.

    They stay between `top` and `bottom`; where these leave no room, they reach over `bottom`.
    """
    order = sorted(range(len(wanted)), key=wanted.__getitem__)
    centres = list(wanted)
    edge = bottom
    for place in reversed(order):
        centres[place] = min(wanted[place], edge - heights[place] / 2)
        edge = centres[place] - heights[place] / 2
    edge = top
    for place in order:
        centres[place] = max(centres[place], edge + heights[place] / 2)
        edge = centres[place] + heights[place] / 2
    return centres


@dataclass(frozen=True)
class EndName:
    """A name at a line's end, already in lines: bold ones, then quiet ones."""

    line: Line
    bold: list[str]
    quiet: list[str]

    def height(self, pen: Pen) -> float:
        """Pixels it needs, air included."""
        return (
            LEADING * (len(self.bold) * pen.sizes.name + len(self.quiet) * pen.sizes.small)
            + 0.2 * pen.sizes.small
        )


def end_names(pen: Pen, lines: list[Line], most: float) -> list[EndName]:
    """The names of `lines` broken to at most `most` pixels."""
    return [
        EndName(
            line,
            fit_lines(line.name, pen.sizes.name, most, 3, "bold"),
            fit_lines(line.note, pen.sizes.small, most, 3),
        )
        for line in lines
        if line.name
    ]


def names_width(pen: Pen, lines: list[Line], most: float) -> float:
    """Pixels that the names at the line ends need, at most `most`."""
    found = [0.0]
    for name in end_names(pen, lines, most):
        found += [pen.width(row, pen.sizes.name, "bold") for row in name.bold]
        found += [pen.width(row, pen.sizes.small) for row in name.quiet]
    return max(found)


def draw_end_names(pen: Pen, frame: Frame, lines: list[Line], most: float) -> None:
    """Names right of the strip, each with a leader to its line and the marker of its arm."""
    names = end_names(pen, lines, most)
    ends = [float(frame.down(_last(name.line))) for name in names]
    heights = [name.height(pen) for name in names]
    centres = spread(ends, heights, frame.box.top, frame.box.bottom)
    for name, end, centre in zip(names, ends, centres, strict=True):
        with pen.series(name.line.role):
            _draw_name(pen, name, (frame.box.right, end), centre)


def _last(line: Line) -> float:
    y = array(line.y)
    return float(y[np.isfinite(y)][-1]) if np.isfinite(y).any() else 0.0


def _draw_name(pen: Pen, name: EndName, end: tuple[float, float], centre: float) -> None:
    look, scale = pen.look(name.line.role), pen.sizes.scale
    gap = 40 * scale
    pen.segment((end[0] + 4, end[1]), (end[0] + gap * 0.55, centre), look.stroke, 1.6 * scale)
    if name.line.marked:
        marker(pen, name.line.role, (end[0] + gap * 0.62, centre), 5.6 * scale)
    left, size = end[0] + gap, pen.sizes.name
    y = centre - name.height(pen) / 2 + 0.1 * pen.sizes.small + 0.86 * size
    for row in name.bold:
        pen.text((left, y), row, size, voice="bold", token=look.stroke)
        y += LEADING * size
    y += LEADING * (pen.sizes.small - size) if name.quiet else 0
    for row in name.quiet:
        pen.text((left, y), row, pen.sizes.small, token="ink2")
        y += LEADING * pen.sizes.small


@dataclass(frozen=True)
class _Above:
    """A name or a note in a row above a plot: its words, and how far right its row it begins and ends."""

    line: Line
    words: str
    size: float
    left: float
    right: float
    row: int


def names_above(pen: Pen, lines: list[Line], width: float) -> list[_Above]:
    """Names beside one another in rows no wider than `width`, each with room for its marker before it."""
    found: list[_Above] = []
    for line in (line for line in lines if line.name):
        mark = 20.0 * pen.sizes.scale if line.marked else 0.0
        for words, size, before in ((line.name, pen.sizes.name, mark), (line.note, pen.sizes.small, 0.0)):
            voice = "bold" if size == pen.sizes.name else "regular"
            told = shorten(words, size, width - before, voice)
            wide = pen.width(told, size, voice)
            left = found[-1].right + 0.8 * pen.sizes.small if found else 0.0
            fits = left + before + wide <= width
            row = found[-1].row + (not fits) if found else 0
            start = (left if fits else 0.0) + before
            found += [_Above(line, told, size, start, start + wide, row)] if told else []
    return found


def names_above_room(pen: Pen, lines: list[Line], width: float) -> float:
    """Pixels that these rows need."""
    rows = [name.row for name in names_above(pen, lines, width)]
    return (max(rows) + 1) * LEADING * pen.sizes.name + 0.4 * pen.sizes.small if rows else 0.0


def draw_names_above(pen: Pen, lines: list[Line], at: tuple[float, float], width: float) -> None:
    """The rows from `at` downwards; on a narrow sheet names beside the curves would leave these no room."""
    for name in names_above(pen, lines, width):
        look, bold = pen.look(name.line.role), name.size == pen.sizes.name
        y = at[1] + 0.86 * pen.sizes.name + name.row * LEADING * pen.sizes.name
        with pen.series(name.line.role):
            if bold and name.line.marked:
                spot = (at[0] + name.left - 11 * pen.sizes.scale, y - 0.34 * pen.sizes.name)
                marker(pen, name.line.role, spot, 5.6 * pen.sizes.scale)
            pen.text((at[0] + name.left, y), name.words, name.size, voice="bold" if bold else "regular",
                     token=look.stroke if bold else "ink2")  # fmt: skip


def draw_label(pen: Pen, frame: Frame, strip: Strip, label: Label, hairlines: Numbers) -> None:
    """Words inside a strip, as far right as nothing is in the way; above the marks or beneath them."""
    walls = [float(frame.across(at)) for at in hairlines]
    for words, share in ((label.words, 0.6), (label.short, 0.6), (label.short, 0.44)):
        lines = _label_lines(pen, words, max(share * frame.box.width, 8 * pen.sizes.small))
        at = _free_place(pen, frame, strip, lines, walls) if 0 < len(lines) <= 3 else None
        if at:
            return _write(pen, lines, at)
    lines = fit_lines(label.short or label.words, pen.sizes.small, frame.box.width, 2)
    return _write(pen, lines, (frame.box.right, frame.box.top + ASCENT * pen.sizes.small))


def label_room(pen: Pen, frame: Frame, label: Label) -> float:
    """Pixels that a label needs above a band that would fill its strip."""
    lines = _label_lines(pen, label.words, max(0.6 * frame.box.width, 8 * pen.sizes.small))
    return 10 + (ASCENT + DESCENT) * pen.sizes.small + (min(len(lines), 3) - 1) * LEADING * pen.sizes.small


def _label_lines(pen: Pen, words: str, most: float) -> list[str]:
    return evenly(lambda narrow: wrap(words, pen.sizes.small, narrow), most)


def _free_place(
    pen: Pen, frame: Frame, strip: Strip, lines: list[str], walls: list[float]
) -> tuple[float, float] | None:
    """Right end and first baseline where the lines touch nothing, or None."""
    size = pen.sizes.small
    wide = max(pen.width(line, size) for line in lines)
    tall = (len(lines) - 1) * LEADING * size
    for right in np.arange(frame.box.right, frame.box.left + wide, -6.0).tolist():
        if any(right - wide - 5 < wall < right + 5 for wall in walls):
            continue
        highest, lowest = _reach(frame, strip, right - wide, right)
        above, beneath = highest - 9 - DESCENT * size - tall, lowest + 9 + ASCENT * size
        if above - ASCENT * size >= frame.box.top:
            return right, above
        if beneath + tall + DESCENT * size <= frame.box.bottom:
            return right, beneath
    return None


def _write(pen: Pen, lines: list[str], at: tuple[float, float]) -> None:
    """Lines from the baseline `at`, flush right."""
    for row, line in enumerate(lines):
        y = at[1] + row * LEADING * pen.sizes.small
        pen.text((at[0], y), line, pen.sizes.small, anchor="end")


def _reach(frame: Frame, strip: Strip, left: float, right: float) -> tuple[float, float]:
    """Highest and lowest pixel of everything that stands between `left` and `right`."""
    downs = [float(frame.down(0.0))] if strip.zero else []
    for mark in strip.marks:
        if not isinstance(mark, Band | Line):
            continue
        edges = (mark.low, mark.high) if isinstance(mark, Band) else (mark.y,)
        across = frame.across(array(mark.x))
        within = (across >= left - 6) & (across <= right + 6)
        for edge in edges:
            inside = frame.cut(frame.down(array(edge)[within]))
            downs += inside[np.isfinite(inside)].tolist()
    middle = (frame.box.top + frame.box.bottom) / 2
    return min(downs, default=middle), max(downs, default=middle)
