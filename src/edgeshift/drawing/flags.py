"""Doubted points: a plum ring, a leader straight up, and a plain cause."""

from __future__ import annotations

from edgeshift.drawing.curves import Frame
from edgeshift.drawing.pen import Pen
from edgeshift.drawing.svg import clean
from edgeshift.records.figure import FlagMark

ROW = 1.3
AIR = 8.0
"""Pixels between a leader and the words beneath its own."""
BEYOND = 40.0
"""Pixels on the Stage that words may reach beyond their strip: free before the name of its line."""


def flag_rows(spans: list[tuple[float, float, float]]) -> list[int]:
    """A row (0 lowest) for each (leader, left, right), so that no leader crosses the words of another.

    Flags come sorted by leader; one whose words reach over a later leader stands above it.
    """
    rows = [0] * len(spans)
    for place in range(len(spans) - 1, -1, -1):
        later = range(place + 1, len(spans))
        over = [rows[other] for other in later if spans[other][1] < spans[place][2] + 12]
        rows[place] = max(over, default=-1) + 1
    return rows


def _spans(pen: Pen, frame: Frame, flags: list[FlagMark]) -> list[tuple[float, float, float]]:
    spans = []
    for flag in flags:
        leader = float(frame.across(flag.x))
        wide = pen.width(flag.words, pen.sizes.small)
        left = max(frame.box.left, min(leader, frame.box.right - wide))
        free = (
            min(spans[-1][0] + AIR, leader) if spans else left
        )  # where the leader before does not come down
        if left < free <= frame.box.right + BEYOND * pen.sizes.scale - wide:
            left = free
        spans.append((leader, left, left + wide))
    return spans


def headroom(pen: Pen, frame: Frame, flags: list[FlagMark]) -> float:
    """Pixels that the causes need above their strip (`frame` need only know its width)."""
    worded = sorted((f for f in flags if f.words), key=lambda flag: flag.x)
    rows = flag_rows(_spans(pen, frame, worded))
    return (max(rows) + 1) * ROW * pen.sizes.small + 14 if rows else 0.0


def draw_flags(pen: Pen, frame: Frame, flags: list[FlagMark], top: float) -> None:
    """Rings on the points; leaders up to the words, which stand in rows beneath `top`."""
    worded = sorted((f for f in flags if f.words), key=lambda flag: flag.x)
    spans = _spans(pen, frame, worded)
    rows = flag_rows(spans)
    highest = max(rows, default=0)
    for flag, (leader, left, _), row in zip(worded, spans, rows, strict=True):
        y = top + (highest - row) * ROW * pen.sizes.small + 0.8 * pen.sizes.small
        foot = float(frame.down(flag.y)) - 9 * pen.sizes.scale
        pen.segment((leader, y + 0.4 * pen.sizes.small), (leader, foot), "plum", 2.2 * pen.sizes.scale)
        pen.text((left, y), flag.words, pen.sizes.small, token="plum")
    for flag in flags:
        pen.add(
            "circle", f"<title>{clean(flag.words or flag.code)}</title>",
            cx=float(frame.across(flag.x)), cy=float(frame.down(flag.y)), r=6.5 * pen.sizes.scale,
            fill=pen.theme.sheet, stroke=pen.theme.plum, stroke_width=2.8 * pen.sizes.scale,
        )  # fmt: skip
