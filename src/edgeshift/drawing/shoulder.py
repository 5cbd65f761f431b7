"""The shoulder: an arctangent edge, the one ornament, and the step marks made of it."""

from __future__ import annotations

import math

import numpy as np

from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.svg import polyline
from edgeshift.records.figure import StepState

STEEPNESS = 3.2


def shoulder(
    box: Box, points: int = 25, reach: float = 0.36, steepness: float = STEEPNESS
) -> tuple[np.ndarray, np.ndarray]:
    """The edge across `box`, low at the left, high at the right; it rises within `reach` of the width.

    `y = atan(2k t) / atan(2k)` for t from -1 to 1, level outside. Returns x and y (points + 2,), pixels.
    """
    t = np.linspace(-1, 1, points)
    rise = np.arctan(2 * steepness * t) / math.atan(2 * steepness)
    x = box.left + box.width * (0.5 + 0.5 * reach * t)
    y = box.bottom - box.height * (0.5 + 0.5 * rise)
    return (
        np.concatenate(([box.left], x, [box.right])),
        np.concatenate(([box.bottom], y, [box.top])),
    )


def draw_step_mark(
    pen: Pen, state: StepState, box: Box, token: str = "ink", thick: float | None = None
) -> None:
    """One state of knowledge as a small edge (34 x 22 on the Stage). Its word belongs beside it.

    `thick` scales its strokes; by default they go with the height of `box`.
    """
    thick = box.height / 22 if thick is None else thick
    if state == "empty":
        return pen.segment((box.left, box.bottom), (box.right, box.bottom), token, 2.0 * thick)
    if state == "failed":
        return _broken(pen, box, token, thick)
    path = polyline(*shoulder(box))
    if state == "not-yet":
        return pen.stroke(path, token, 2.6 * thick, stroke_dasharray=f"{0.1:.1f} {4.6 * thick:.1f}",
                          stroke_linecap="round")  # fmt: skip
    if state in ("cannot-tell", "partly"):
        pen.stroke(path, "line" if state == "cannot-tell" else "glaze2", 8.0 * thick)
    if state in ("partly", "answered"):
        pen.stroke(path, token, (2.4 if state == "partly" else 3.8) * thick)
    return None


def _broken(pen: Pen, box: Box, token: str, thick: float) -> None:
    """Two ends that do not meet, and a stroke across the gap."""
    left, right, middle = box.left, box.right, box.left + box.width / 2
    pen.segment((left, box.bottom), (left + 0.34 * box.width, box.bottom), token, 3.8 * thick)
    pen.segment((right - 0.34 * box.width, box.top), (right, box.top), token, 3.8 * thick)
    lean = 0.1 * box.width
    pen.segment((middle - lean, box.top), (middle + lean, box.bottom), token, 3.2 * thick)
