"""The strip over every page: six stations, the open one an edge that rises from it, and their marks."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from edgeshift.drawing.page import STAGE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shoulder import draw_step_mark
from edgeshift.drawing.svg import element, polyline
from edgeshift.drawing.tokens import THEMES
from edgeshift.records.figure import StepState

MARK_WIDTH, MARK_HEIGHT = 34, 22
STEEP, EASY, STEEPNESS = 26.0, 48.0, 4.0
"""Pixels of the rise at the left and of the fall at the right on the Stage: an edge, not a tab."""


def step_mark(state: StepState, theme: str = "light") -> str:
    """One state of knowledge as an SVG of 34 x 22 pixels. It is decoration: its word stands beside it."""
    pen = Pen(THEMES[theme], STAGE)
    air = 4.0
    draw_step_mark(pen, state, Box(1.0, air, MARK_WIDTH - 2.0, MARK_HEIGHT - 2 * air), thick=1.0)
    return _svg(MARK_WIDTH, MARK_HEIGHT, "".join(pen.marks))


class StripPlaces(NamedTuple):
    """Where six stations stand, in pixels: the first one's left end, and from one to the next."""

    first: float
    each: float


def strip_places(width: int) -> StripPlaces:
    """The stations of a strip: a margin on a projector or a laptop, edge to edge on a phone."""
    return StripPlaces(28.0, (width - 74.0) / 6) if width >= 600 else StripPlaces(0.0, width / 6)


def strip(
    chosen: int | None, width: int = 1280, height: int = 100, theme: str = "light", rewound: bool = False
) -> str:
    """The ground of the strip: glaze, its rule, and the station number `chosen` (0 to 5) open to the sheet.

    100 high on the Stage, 68 in the Wing, 52 on a phone. The rule is dotted where the page is `rewound`.
    """
    pen = Pen(THEMES[theme], STAGE)
    foot, top = height - 1.0, 0.07 * height
    pen.block(Box(0.0, 0.0, width, foot), "glaze")
    path = f"M0 {foot}H{width}"
    if chosen is not None:
        places = strip_places(width)
        left = places.first + chosen * places.each
        x, y = _station(left, left + places.each, top, foot, min(1.0, places.each / 201))
        x = np.clip(x, 1.0, width - 1.0)
        pen.add("path", d=f"{polyline(x, y)}Z", fill=pen.theme.sheet)
        x, y = np.concatenate(([0.0], x, [width])), np.concatenate(([foot], y, [foot]))
        path = polyline(x, y)
    dots = {"stroke_dasharray": "0.1 6", "stroke_linecap": "round"} if rewound else {}
    pen.stroke(path, "ink", 2.0, stroke_linejoin="round", **dots)
    return _svg(width, height, "".join(pen.marks))


def _station(
    left: float, right: float, top: float, foot: float, scale: float
) -> tuple[np.ndarray, np.ndarray]:
    """The outline of the open station: a steep rise at its left end, an easier fall at its right one."""
    t = np.linspace(-1, 1, 31)
    rise = 0.5 + 0.5 * np.arctan(2 * STEEPNESS * t) / math.atan(2 * STEEPNESS)
    up, down = STEEP * scale, EASY * scale
    x = np.concatenate((left - 4 * scale + 0.5 * up * t, right - 6 * scale + 0.5 * down * t))
    y = np.concatenate((foot - (foot - top) * rise, top + (foot - top) * rise))
    return x, y


def _svg(width: int, height: int, inside: str) -> str:
    return element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {width} {height}", "width": width,
            "height": height, "aria-hidden": "true",
        },
        inside,
    )  # fmt: skip
