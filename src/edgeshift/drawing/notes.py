"""What was found, beneath the sentence: a plum ring, the words, and the next act in quiet type."""

from __future__ import annotations

from edgeshift.drawing.header import draw_sentence_line, sentence_lines
from edgeshift.drawing.metrics import wrap
from edgeshift.drawing.pen import Box, Pen
from edgeshift.records.figure import Note

LEADING = 1.24


def draw_notes(pen: Pen, notes: tuple[Note, ...], box: Box) -> float:
    """Draws from the top of `box`; returns the y beneath the last note."""
    top = box.top
    for note in notes:
        top = _draw_note(pen, note, Box(box.left, top, box.width, 0.0)) + 0.5 * pen.sizes.small
    return top


def _draw_note(pen: Pen, note: Note, box: Box) -> float:
    scale, size, small = pen.sizes.scale, pen.sizes.words, pen.sizes.small
    left, width = box.left + 1.5 * size, box.width - 1.5 * size
    pen.add(
        "circle", cx=box.left + 8 * scale, cy=box.top + 0.55 * size, r=6.5 * scale,
        fill=pen.theme.sheet, stroke=pen.theme.plum, stroke_width=2.8 * scale,
    )  # fmt: skip
    y = box.top + 0.86 * size
    for line in sentence_lines(note.words, size, width):
        draw_sentence_line(pen, line, (left, y), size)
        y += LEADING * size
    for row in wrap(note.act, small, width):
        pen.text((left, y), row, small, token="ink2")
        y += LEADING * small
    return y - 0.6 * small
