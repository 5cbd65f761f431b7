"""The sentence and the question to the room: two voices, side by side, above the picture."""

from __future__ import annotations

import math
import re

from edgeshift.drawing.metrics import Voice, evenly, text_width, wrap
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.svg import clean, element
from edgeshift.drawing.tokens import UPRIGHT
from edgeshift.records.figure import Figure

_BOLD = re.compile(r"\*\*(.+?)\*\*", re.DOTALL)
LEADING = 1.14


def bold_words(sentence: str) -> list[tuple[str, Voice]]:
    """Words with their voice; what stands in `**...**` is bold, and what follows it without a space too."""
    found: list[tuple[str, Voice]] = []
    glued = False
    for place, piece in enumerate(_BOLD.split(sentence)):
        words: list[tuple[str, Voice]] = [
            (word, "bold" if place % 2 else "regular") for word in piece.split()
        ]
        if words and glued and not piece[0].isspace():
            (before, voice), (tail, _) = found.pop(), words.pop(0)
            found.append((before + tail, voice))
        found += words
        glued = bool(found) and not piece[-1:].isspace()
    return found


def sentence_lines(sentence: str, size: float, width: float) -> list[list[tuple[str, Voice]]]:
    """The words broken into lines no wider than `width`, each with its voice."""
    lines: list[list[tuple[str, Voice]]] = [[]]
    used = 0.0
    for word, voice in bold_words(sentence):
        wide = text_width(f"{word} ", size, voice)
        if lines[-1] and used + wide > width:
            lines.append([])
            used = 0.0
        lines[-1].append((word, voice))
        used += wide
    return lines if lines[0] else []


def draw_header(pen: Pen, figure: Figure, box: Box) -> float:
    """Draws from the top of `box`; returns the y beneath both voices."""
    asked = figure.question_to_room
    beside = bool(asked) and box.width >= 700
    size, width = pen.sizes.sentence, box.width * (0.64 if beside else 1.0)
    while len(sentence_lines(figure.sentence, size, width)) > 3 and size > pen.sizes.name:
        size *= 0.92
    lines = evenly(lambda narrow: sentence_lines(figure.sentence, size, narrow), width)
    y = box.top + 0.82 * size
    for line in lines:
        draw_sentence_line(pen, line, (box.left, y), size)
        y += LEADING * size
    beneath = y - 0.5 * size if lines else box.top
    if not asked:
        return beneath
    if beside:
        return max(
            beneath,
            _draw_question(pen, asked, Box(box.left + 0.69 * box.width, box.top, 0.31 * box.width, 0)),
        )
    return _draw_question(pen, asked, Box(box.left, beneath + 14, box.width, 0))


def draw_sentence_line(pen: Pen, line: list[tuple[str, Voice]], at: tuple[float, float], size: float) -> None:
    """One line of `sentence_lines` from the baseline `at`."""
    spans, last = [], len(line) - 1
    for place, (word, voice) in enumerate(line):
        shown = clean(word) + ("" if place == last else " ")
        spans.append(element("tspan", {"font-weight": "700"}, shown) if voice == "bold" else shown)
    pen.add("text", "".join(spans), x=float(at[0]), y=float(at[1]), font_size=size, fill=pen.theme.ink,
            font_family=UPRIGHT)  # fmt: skip


def _draw_question(pen: Pen, asked: str, box: Box) -> float:
    """The open C (the floor is open) and the question in the voice of people; returns the y beneath."""
    size = pen.sizes.question
    radius = 0.42 * size
    centre = (box.left + radius + 3, box.top + 0.58 * size)
    start, stop = math.radians(-50), math.radians(50)
    ends = [
        f"{centre[0] + radius * math.cos(a):.1f} {centre[1] + radius * math.sin(a):.1f}"
        for a in (start, stop)
    ]
    path = f"M{ends[0]}A{radius:.1f} {radius:.1f} 0 1 0 {ends[1]}"
    pen.stroke(path, "ink", 0.36 * size)
    pen.stroke(path, "straw", 0.24 * size)
    left = box.left + 1.6 * size
    y = box.top + 0.86 * size
    for row in wrap(asked, size, box.width - 1.6 * size, "italic"):
        pen.text((left, y), row, size, voice="italic")
        y += 1.18 * size
    return y - 0.6 * size
