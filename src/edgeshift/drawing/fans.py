"""Shares under one another: the fan of equally good fits, the answer as a capsule on it.

The formal claim stands small beneath.
"""

from __future__ import annotations

from edgeshift.drawing.metrics import shorten
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, draw_ruler
from edgeshift.records.figure import Fans, Spread

PITCH = 118.0
"""Pixels on the Stage from one share to the next, where there is room."""


def draw_fans(pen: Pen, fans: Fans, box: Box) -> None:
    """One row a share, one ruler at the foot."""
    foot = box.bottom - _foot(pen)
    pitch = min(PITCH * pen.sizes.scale, (foot - box.top - 8) / max(1, len(fans.rows)))
    top = foot - 8 - pitch * len(fans.rows)
    for place, row in enumerate(fans.rows):
        _draw_row(pen, row, fans, Box(box.left, top + place * pitch, box.width, pitch))
    draw_ruler(pen, fans.ruler, Box(box.left, foot, box.width, CELL_HEIGHT))
    at = (box.right, foot + CELL_HEIGHT + 2.3 * pen.sizes.small)
    pen.text(at, fans.ruler.words, pen.sizes.small, anchor="end", token="ink2")


def fans_height(pen: Pen, fans: Fans) -> float:
    """Pixels that the shares want."""
    return PITCH * pen.sizes.scale * len(fans.rows) + _foot(pen) + 8


def fans_least(pen: Pen, fans: Fans) -> float:
    """Pixels below which the words of one share would lie on those of the next."""
    row = 1.3 * pen.sizes.words + 33 * pen.sizes.scale + 0.9 * pen.sizes.small
    return row * len(fans.rows) + _foot(pen)


def _foot(pen: Pen) -> float:
    """Pixels from the top of the ruler to the end of its words."""
    return CELL_HEIGHT + 2.7 * pen.sizes.small


def _draw_row(pen: Pen, row: Spread, fans: Fans, box: Box) -> None:
    size, voice, scale = pen.sizes.words, "bold" if row.main else "regular", pen.sizes.scale
    baseline = box.top + 0.95 * size
    beside = pen.width(row.words, size, voice) + size
    name = shorten(row.name, size, box.width - beside, voice)
    pen.text((box.left, baseline), name, size, voice=voice)
    pen.text((box.right, baseline), row.words, size, anchor="end", voice=voice)

    def across(value: float) -> float:
        held = min(max(value, fans.ruler.low), fans.ruler.high)
        return box.left + (held - fans.ruler.low) / (fans.ruler.high - fans.ruler.low) * box.width

    def stretch(ends: tuple[float, float], tall: float) -> Box:
        left, right = across(ends[0]), across(ends[1])
        return Box(left, middle - tall / 2, max(right - left, 2.0), tall)

    tall = 26.0 * scale
    middle = baseline + 0.45 * size + tall / 2
    pen.segment((box.left, middle), (box.right, middle), "line", 1.0)
    pen.block(stretch(row.most, tall), "fan_fill")
    pen.block(stretch(row.half, tall), "fan_core")
    answer = stretch(row.whole, 11.0 * scale)
    pen.block(answer, "straw" if row.main else None, 2.2 * scale, radius=5.5 * scale)
    pen.add("circle", cx=across(row.middle), cy=middle, r=6.5 * scale, fill=pen.theme.sheet,
            stroke=pen.theme.ink, stroke_width=2.4 * scale)  # fmt: skip
    _draw_formal(pen, row, middle + tall / 2 + 8 * scale, box, across)


def _draw_formal(pen: Pen, row: Spread, y: float, box: Box, across) -> None:
    """A thin stroke as long as the formal interval claims, its words on the side with more room."""
    small, left, right = pen.sizes.small, across(row.formal[0]), across(row.formal[1])
    pen.segment((left, y), (max(right, left + 3.0), y), "ink2", 3.0 * pen.sizes.scale)
    wide = pen.width(row.formal_words, small)
    beneath = y + 0.36 * small
    if right + 10 + wide <= box.right:
        pen.text((right + 10, beneath), row.formal_words, small, token="ink2")
    else:
        pen.text((left - 10, beneath), row.formal_words, small, anchor="end", token="ink2")
