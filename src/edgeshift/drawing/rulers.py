"""The ruler (neatline) that serves as the axis, and the scale bar that stands for the other one."""

from __future__ import annotations

import math

from edgeshift.drawing.metrics import wrap
from edgeshift.drawing.pen import Box, Pen
from edgeshift.records.figure import Ruler, ScaleBar

CELL_HEIGHT = 9.0
BESIDE = 0.8
"""So far a number may reach beyond the ends of its ruler, in heights of small type."""


def nice_step(span: float, cells: float) -> float:
    """A step of 1, 2 or 5 times a power of ten that gives about `cells` cells, never more than twice."""
    rough = span / cells
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= rough * 0.999)


def ticks(low: float, high: float, step: float) -> list[float]:
    """Multiples of `step` from `low` to `high`, both ends included."""
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [number * step for number in range(first, last + 1)]


def label(value: float, step: float) -> str:
    """A tick's number with the digits its step needs, and a true minus sign."""
    digits = next(d for d in range(12) if abs(round(step, d) - step) < 1e-6 * step or d == 11)
    return f"{value:.{digits}f}".replace("-", "\u2212") if abs(value) > step / 1e6 else f"{0:.{digits}f}"


def draw_ruler(pen: Pen, ruler: Ruler, box: Box) -> None:
    """Cells of ink and sheet in turn along `box`'s top, numbers beneath; the words are the caller's."""
    step = nice_step(ruler.high - ruler.low, min(14.0, max(4.0, box.width / 38)))
    cells = ticks(ruler.low, ruler.high, step)
    edges = sorted({ruler.low, *cells, ruler.high})

    def across(value: float) -> float:
        return box.left + (value - ruler.low) / (ruler.high - ruler.low) * box.width

    for left, right in zip(edges, edges[1:], strict=False):
        if math.floor((left + right) / 2 / step) % 2 == 0:
            pen.block(Box(across(left), box.top, across(right) - across(left), CELL_HEIGHT), "ink")
    pen.block(Box(box.left, box.top, box.width, CELL_HEIGHT), None, outline=1.5)
    _numbers(pen, [(across(value), value) for value in cells], step, box)


def _numbers(pen: Pen, places: list[tuple[float, float]], step: float, box: Box) -> None:
    """Every number that leaves air around it: all of them, or every second, third, ..."""
    size = pen.sizes.small
    widest = max((pen.width(label(value, step), size) for _, value in places), default=0.0)
    pitch = places[1][0] - places[0][0] if len(places) > 1 else box.width
    every = max(1, math.ceil((widest + 1.7 * size) / pitch))
    for across, value in places:
        if round(value / step) % every == 0:
            number = label(value, step * every)
            most = BESIDE * size - 0.5 * pen.width(number, size)  # how far its middle may stand outside
            held = min(max(across, box.left - most), box.right + most)
            at = (held, box.top + CELL_HEIGHT + 1.05 * size)
            pen.text(at, number, size, anchor="middle", token="ink2")


def draw_scale_bar(pen: Pen, bar: ScaleBar, foot: tuple[float, float], height: float) -> None:
    """A bar `height` pixels tall on `foot`, lower half sheet, upper half ink, its words beside it."""
    left, ground, wide = foot[0], foot[1], 8.0
    pen.block(Box(left, ground - height, wide, height), "sheet", outline=1.5)
    pen.block(Box(left, ground - height, wide, height / 2), "ink")
    size = pen.sizes.small
    lines = wrap(bar.words, size, bar_words_width(pen, bar))
    first = ground - height / 2 - (len(lines) - 1) * 0.55 * size + 0.3 * size
    for row, line in enumerate(lines):
        pen.text((left + wide + 9, first + row * 1.1 * size), line, size, token="ink2")


def bar_words_width(pen: Pen, bar: ScaleBar) -> float:
    """How wide the words beside a scale bar may be: a little more than their longest, if that is short."""
    longest = max(pen.width(word, pen.sizes.small) for word in bar.words.split(" "))
    return max(longest, min(1.3 * longest, 5.0 * pen.sizes.small))
