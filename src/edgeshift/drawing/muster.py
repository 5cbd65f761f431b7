"""Elements in order of energy: a small edge each, its symbol above and its verdict beneath."""

from __future__ import annotations

from edgeshift.drawing.metrics import fit_lines
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shoulder import draw_step_mark
from edgeshift.records.figure import ElementMark, Muster

CELL_WIDTH, CELL_HEIGHT = 116.0, 132.0
"""Pixels on the Stage that one element takes."""


def draw_muster(pen: Pen, muster: Muster, box: Box) -> None:
    """Rows of elements from the top, a plank under each row, the rest in words beneath."""
    scale, fit = pen.sizes.scale, _fit(pen, box.width)
    wide, tall = box.width / fit, CELL_HEIGHT * scale
    for place, mark in enumerate(muster.marks):
        row, column = divmod(place, fit)
        _draw_mark(pen, mark, Box(box.left + column * wide, box.top + row * tall, wide, tall))
    rows = -(-len(muster.marks) // fit)
    for row in range(rows):
        count = min(fit, len(muster.marks) - row * fit)
        y = box.top + row * tall + _plank(pen)
        pen.segment((box.left, y), (box.left + count * wide - 12 * scale, y), "ink", 2.0 * scale)
    y = box.top + rows * tall + 0.9 * pen.sizes.small
    for line in fit_lines(muster.rest, pen.sizes.small, box.width, 3):
        pen.text((box.left, y), line, pen.sizes.small, token="ink2")
        y += 1.25 * pen.sizes.small


def muster_height(pen: Pen, muster: Muster, width: float) -> float:
    """Pixels the muster wants where it stands alone."""
    rows = -(-len(muster.marks) // _fit(pen, width))
    return rows * CELL_HEIGHT * pen.sizes.scale + 4.2 * pen.sizes.small


def _fit(pen: Pen, width: float) -> int:
    return max(1, int(width / (CELL_WIDTH * pen.sizes.scale)))


def _plank(pen: Pen) -> float:
    """The y of a row's plank beneath its top."""
    return 1.25 * pen.sizes.name + 48 * pen.sizes.scale


def _draw_mark(pen: Pen, mark: ElementMark, cell: Box) -> None:
    scale, size = pen.sizes.scale, pen.sizes.small
    pen.text((cell.left, cell.top + 0.9 * pen.sizes.name), mark.name, pen.sizes.name, voice="bold")
    foot = cell.top + _plank(pen)
    draw_step_mark(pen, mark.state, Box(cell.left, foot - 38 * scale, 56 * scale, 34 * scale))
    y = foot + 1.2 * size
    for line in fit_lines(mark.words, size, cell.width - 8 * scale, 2):
        pen.text((cell.left, y), line, size, token="ink2" if mark.state != "answered" else "ink")
        y += 1.12 * size
