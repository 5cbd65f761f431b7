"""Causes under one another: a bar each on one ruler, the answer as a capsule on the main one."""

from __future__ import annotations

from edgeshift.drawing.metrics import shorten, wrap
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, draw_ruler
from edgeshift.records.figure import Interval, Intervals, Ruler


def draw_intervals(pen: Pen, causes: Intervals, box: Box) -> None:
    """One row a cause: its name and value above, its bar and range beneath, one ruler at the foot."""
    foot = box.bottom - CELL_HEIGHT - 2.7 * pen.sizes.small
    pitch = min(96.0 * pen.sizes.scale, (foot - box.top - 8) / max(1, len(causes.rows)))
    top = foot - 8 - pitch * len(causes.rows)
    for place, row in enumerate(causes.rows):
        _draw_row(pen, row, causes.ruler, Box(box.left, top + place * pitch, box.width, pitch))
    draw_ruler(pen, causes.ruler, Box(box.left, foot, box.width, CELL_HEIGHT))
    at = (box.right, foot + CELL_HEIGHT + 2.3 * pen.sizes.small)
    pen.text(at, causes.ruler.words, pen.sizes.small, anchor="end", token="ink2")


def _draw_row(pen: Pen, row: Interval, ruler: Ruler, box: Box) -> None:
    size, voice = pen.sizes.words, "bold" if row.main else "regular"
    baseline = box.top + 0.95 * size
    name = shorten(row.name, size, 0.4 * box.width, voice)
    pen.text((box.left, baseline), name, size, voice=voice)
    small, beside = pen.sizes.small, box.width - pen.width(name, size, voice) - size
    lines = wrap(row.words, small, beside)  # a number is never cut: what does not fit goes a line lower
    for line, words in enumerate(lines):
        at = (box.right, baseline + 1.15 * small * line)
        pen.text(at, words, small, anchor="end", token="ink" if row.main else "ink2")

    def across(value: float) -> float:
        held = min(max(value, ruler.low), ruler.high)
        return box.left + (held - ruler.low) / (ruler.high - ruler.low) * box.width

    middle = baseline + 0.75 * size + 1.15 * small * (len(lines) - 1)
    tall = 14.0 * pen.sizes.scale
    left, right, at = across(row.low), across(row.high), across(row.value)
    if row.main:
        pen.segment((box.left, middle), (box.right, middle), "ink", 2.0)
        wide = max(right - left, 2 * tall)
        left = max(box.left, min(left, (left + right - wide) / 2))
        pen.block(Box(left, middle - tall / 2, wide, tall), "straw", 2.2, radius=tall / 2)
        pen.add("circle", cx=at, cy=middle, r=0.52 * tall, fill=pen.theme.sheet, stroke=pen.theme.ink,
                stroke_width=2.4 * pen.sizes.scale)  # fmt: skip
        return
    pen.segment((box.left, middle), (box.right, middle), "line", 1.0)
    pen.block(Box(left, middle - 0.36 * tall, max(right - left, 2.0), 0.72 * tall), "neutral_fill", 1.0)
    pen.segment((at, middle - 0.5 * tall), (at, middle + 0.5 * tall), "ink", 3.0 * pen.sizes.scale)
