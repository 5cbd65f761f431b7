"""Causes under one another: a bar each on one ruler, the answer as a capsule on the main one."""

from __future__ import annotations

from edgeshift.drawing.metrics import Voice, shorten, wrap
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, draw_ruler
from edgeshift.records.figure import Interval, Intervals, Ruler

AIR = 8.0
"""Pixels between the last cause and the ruler."""
LEADING = 1.15


def draw_intervals(pen: Pen, causes: Intervals, box: Box) -> None:
    """One row a cause: its name and value above, its bar and range beneath, one ruler at the foot."""
    foot = box.bottom - _foot(pen)
    needs = [_row_height(pen, row, box.width) for row in causes.rows]
    room = (foot - AIR - box.top - sum(needs)) / max(1, len(needs))
    air = min(36.0 * pen.sizes.scale, room)
    top = foot - AIR - sum(needs) - air * len(needs)
    for row, need in zip(causes.rows, needs, strict=True):
        _draw_row(pen, row, causes.ruler, Box(box.left, top, box.width, need))
        top += need + air
    draw_ruler(pen, causes.ruler, Box(box.left, foot, box.width, CELL_HEIGHT))
    at = (box.right, foot + CELL_HEIGHT + 2.3 * pen.sizes.small)
    pen.text(at, causes.ruler.words, pen.sizes.small, anchor="end", token="ink2")


def intervals_height(pen: Pen, causes: Intervals, width: float) -> float:
    """Pixels that the causes need, standing as close as they can."""
    return sum(_row_height(pen, row, width) for row in causes.rows) + AIR + _foot(pen)


def _foot(pen: Pen) -> float:
    """Pixels from the top of the ruler to the end of its words."""
    return CELL_HEIGHT + 2.7 * pen.sizes.small


def _row_height(pen: Pen, row: Interval, width: float) -> float:
    more = LEADING * pen.sizes.small * (len(_value_lines(pen, row, width)) - 1)
    return 1.7 * _name_size(pen, row) + more + 0.5 * _bar_height(pen, row) + 6 * pen.sizes.scale


def _name_size(pen: Pen, row: Interval) -> float:
    """The answer is larger than what it is not."""
    return pen.sizes.name if row.main else pen.sizes.words


def _bar_height(pen: Pen, row: Interval) -> float:
    return (18.0 if row.main else 10.0) * pen.sizes.scale


def _value_lines(pen: Pen, row: Interval, width: float) -> list[str]:
    """The value beside the name; a number is never cut: what does not fit goes a line lower."""
    size, voice = _name_size(pen, row), _voice(row)
    beside = width - pen.width(row.name, size, voice) - size
    return wrap(row.words, pen.sizes.small, beside, voice)


def _voice(row: Interval) -> Voice:
    return "bold" if row.main else "regular"


def _draw_row(pen: Pen, row: Interval, ruler: Ruler, box: Box) -> None:
    size, voice = _name_size(pen, row), _voice(row)
    baseline = box.top + 0.95 * size
    name = shorten(row.name, size, 0.4 * box.width, voice)
    pen.text((box.left, baseline), name, size, voice=voice)
    small, lines = pen.sizes.small, _value_lines(pen, row, box.width)
    for line, words in enumerate(lines):
        at = (box.right, baseline + LEADING * small * line)
        pen.text(at, words, small, anchor="end", token="ink" if row.main else "ink2", voice=voice)

    def across(value: float) -> float:
        held = min(max(value, ruler.low), ruler.high)
        return box.left + (held - ruler.low) / (ruler.high - ruler.low) * box.width

    middle = baseline + 0.75 * size + LEADING * small * (len(lines) - 1)
    tall = _bar_height(pen, row)
    left, right, at = across(row.low), across(row.high), across(row.value)
    if row.main:
        pen.segment((box.left, middle), (box.right, middle), "ink", 2.0)
        wide = max(right - left, 2.6 * tall)
        left = max(box.left, min(left, (left + right - wide) / 2))
        pen.block(Box(left, middle - tall / 2, wide, tall), "straw", 2.2, radius=tall / 2)
        pen.add("circle", cx=at, cy=middle, r=0.3 * tall, fill=pen.theme.sheet, stroke=pen.theme.ink,
                stroke_width=2.4 * pen.sizes.scale)  # fmt: skip
        return
    pen.segment((box.left, middle), (box.right, middle), "line", 1.0)
    pen.block(Box(left, middle - 0.5 * tall, max(right - left, 2.0), tall), "neutral_fill", 1.0)
    pen.segment((at, middle - 0.7 * tall), (at, middle + 0.7 * tall), "ink", 3.0 * pen.sizes.scale)
