"""A map in eight tones of ink on paper: more ink is more. Its ruler wears the same tones."""

from __future__ import annotations

import math

from edgeshift.drawing.metrics import shorten
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, label
from edgeshift.records.figure import Field

TONES = 8


def draw_field(pen: Pen, field: Field, box: Box) -> None:
    """Name above, the map with square pixels, its tones with their numbers right beneath."""
    size, small = pen.sizes.name, pen.sizes.small
    pen.text(
        (box.left, box.top + 0.9 * size), shorten(field.name, size, box.width, "bold"), size, voice="bold"
    )
    lowest = box.bottom - CELL_HEIGHT - 2.7 * small
    room = Box(box.left, box.top + 1.6 * size, box.width, lowest - box.top - 1.6 * size - 16)
    across, down = len(field.rows[0]), len(field.rows)
    side = min(room.width / across, room.height / down)
    _draw_cells(pen, field, (room.left, room.top), side)
    pen.block(Box(room.left, room.top, side * across, side * down), None, outline=1.5)
    _draw_tones(pen, field, Box(box.left, room.top + side * down + 16, box.width, CELL_HEIGHT))


def _draw_cells(pen: Pen, field: Field, corner: tuple[float, float], side: float) -> None:
    """One path a tone; neighbours of one tone in a row are one piece."""
    pieces: dict[int | None, list[str]] = {}
    for row, values in enumerate(field.rows):
        tones = [_tone(value, field) for value in values]
        start = 0
        for column in range(1, len(tones) + 1):
            if column < len(tones) and tones[column] == tones[start]:
                continue
            x, y = corner[0] + start * side, corner[1] + row * side
            wide = (column - start) * side
            pieces.setdefault(tones[start], []).append(f"M{x:.1f} {y:.1f}h{wide:.1f}v{side:.1f}h{-wide:.1f}z")
            start = column
    for tone in sorted(pieces, key=lambda each: -1 if each is None else each):
        path = "".join(pieces[tone])
        if tone is None:
            pen.add("path", d=path, fill="none", stroke=pen.theme.plum, stroke_width=1.0)
        elif tone:
            pen.add("path", d=path, fill=pen.theme.ink, fill_opacity=round(tone / (TONES - 1), 3))


def _tone(value: float, field: Field) -> int | None:
    if not math.isfinite(value):
        return None
    part = (value - field.ruler.low) / (field.ruler.high - field.ruler.low)
    return min(TONES - 1, max(0, int(part * TONES)))


def _draw_tones(pen: Pen, field: Field, box: Box) -> None:
    wide, small = box.width / TONES, pen.sizes.small
    for tone in range(TONES):
        at = Box(box.left + tone * wide, box.top, wide, CELL_HEIGHT)
        pen.add("rect", x=at.left, y=at.top, width=at.width, height=at.height, fill=pen.theme.ink,
                fill_opacity=round(tone / (TONES - 1), 3))  # fmt: skip
    pen.block(box, None, outline=1.5)
    span = field.ruler.high - field.ruler.low
    for part in (0.0, 0.5, 1.0):
        at = (box.left + part * box.width, box.top + CELL_HEIGHT + 1.05 * small)
        anchor = {0.0: "start", 0.5: "middle", 1.0: "end"}[part]
        pen.text(at, label(field.ruler.low + part * span, span / 2), small, anchor=anchor, token="ink2")
    at = (box.right, box.top + CELL_HEIGHT + 2.3 * small)
    pen.text(at, field.ruler.words, small, anchor="end", token="ink2")
