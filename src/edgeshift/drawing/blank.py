"""Whole-page states: nothing to plot, drawn as the state of an edge over its ruler."""

from __future__ import annotations

import numpy as np

from edgeshift.drawing.metrics import fit_lines
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, draw_ruler
from edgeshift.drawing.shoulder import shoulder
from edgeshift.drawing.svg import polygon, polyline
from edgeshift.records.figure import Blank


def draw_blank(pen: Pen, blank: Blank, box: Box) -> None:
    """The edge in its state, the ruler, the words and the next act beneath."""
    size = pen.sizes.words
    words = fit_lines(blank.words, size, box.width, 3, "bold")
    act = fit_lines(blank.act, pen.sizes.small, box.width, 3)
    foot = box.bottom - 1.3 * size * len(words) - 1.3 * pen.sizes.small * len(act) - 2.9 * pen.sizes.small
    wide = min(box.width, 760 * pen.sizes.scale)
    field = Box(box.left, box.top + 0.18 * (foot - box.top), wide, 0.66 * (foot - box.top))
    _draw_edge(pen, blank, field)
    if blank.ruler:
        draw_ruler(pen, blank.ruler, Box(box.left, foot, wide, CELL_HEIGHT))
        at = (box.left + wide, foot + CELL_HEIGHT + 2.3 * pen.sizes.small)
        pen.text(at, blank.ruler.words, pen.sizes.small, anchor="end", token="ink2")
    else:
        _plain_ruler(pen, Box(box.left, foot, wide, CELL_HEIGHT))
    y = foot + CELL_HEIGHT + (3.3 if blank.ruler else 1.4) * pen.sizes.small + 0.4 * size
    for row in words:
        pen.text((box.left, y), row, size, voice="bold")
        y += 1.3 * size
    for row in act:
        pen.text((box.left, y), row, pen.sizes.small, token="ink2")
        y += 1.3 * pen.sizes.small


def _plain_ruler(pen: Pen, box: Box) -> None:
    """A ruler that measures nothing yet: cells without numbers."""
    for cell in range(0, 9, 2):
        pen.block(Box(box.left + cell * box.width / 9, box.top, box.width / 9, box.height), "ink")
    pen.block(box, None, outline=1.5)


def _draw_edge(pen: Pen, blank: Blank, box: Box) -> None:
    x, y = shoulder(box, points=80, reach=1.0, steepness=7.0)
    if blank.state == "cannot-tell":
        half = np.full_like(x, 0.13 * box.height)
        path = polygon(x, y - half, y + half)
        pen.add("path", d=path, fill=pen.theme.neutral_fill)
        pen.stroke(path, "line", 1.0)
    elif blank.state == "not-yet":
        pen.stroke(polyline(x, y), "line", 3.0, stroke_dasharray="0.1 8", stroke_linecap="round")
    elif blank.state == "failed":
        half = x < box.left + 0.56 * box.width
        pen.stroke(polyline(x[half], y[half]), "ink", 2.8)
        stop = float(x[half][-1])
        pen.segment((stop, float(y[half][-1]) - 22), (stop, float(y[half][-1]) + 22), "plum", 3.2)
        rest = f"M{stop + 10:.1f} {box.bottom:.1f}H{box.right:.1f}"
        pen.stroke(rest, "plum", 2.4, stroke_dasharray="0.1 7", stroke_linecap="round")
