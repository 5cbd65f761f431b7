"""Small drawings of the host's page: a trace with its hurt, two bands on one ruler, the curtain, cards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from edgeshift.drawing.page import LAPTOP
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, draw_ruler
from edgeshift.drawing.shoulder import shoulder
from edgeshift.drawing.svg import element, polyline
from edgeshift.drawing.tokens import THEMES, UPRIGHT
from edgeshift.records.figure import Ruler
from edgeshift.records.flags import BY_CODE, UNUSABLE

MOST_POINTS = 120
SHORT_BELOW, SHORT_ABOVE = "short-below", "short-above"


def trace_thumbnail(
    trace: Mapping[str, Any], theme: str, width: int = 96, height: int = 56, short: str = ""
) -> str:
    """A trace without any axis. What cannot be used of it is drawn in plum; where it is too `short`, by the
    code of that reason, dots stand where it should have gone on."""
    pen = Pen(THEMES[theme], LAPTOP)
    x, y = np.array(trace["energy_ev"], dtype=float), np.array(trace["value"], dtype=float)
    known = np.isfinite(y)
    if np.count_nonzero(known) < 2:
        return _svg(width, height, "")
    hurt = np.isin(x, [each["energy_ev"] for each in trace["flags"] if BY_CODE[each["code"]].bit & UNUSABLE])
    sound = known & ~hurt
    low, high = np.min(y[sound if sound.any() else known]), np.max(y[sound if sound.any() else known])
    aside = 0.16 * width
    left = aside if short == SHORT_BELOW else 2.0
    room = width - 4.0 - (aside if short in (SHORT_BELOW, SHORT_ABOVE) else 0.0)
    across = left + (x - x[0]) / max(x[-1] - x[0], 1e-9) * room
    down = height - 4 - np.clip((y - low) / max(high - low, 1e-12), -0.05, 1.05) * (height - 10)
    every = max(1, x.size // MOST_POINTS)
    kept = (np.arange(x.size) % every == 0) | hurt
    pen.stroke(
        polyline(across[kept], np.where(sound, down, np.nan)[kept]), "ink", 2.0, stroke_linejoin="round"
    )
    beside = hurt | np.roll(hurt, 1) | np.roll(hurt, -1)
    if hurt.any():
        pen.stroke(polyline(across[beside], np.where(known, down, np.nan)[beside]), "plum", 2.5)
    if short in (SHORT_BELOW, SHORT_ABOVE):
        at = down[np.flatnonzero(known)[0 if short == SHORT_BELOW else -1]]
        ends = (1.0, left) if short == SHORT_BELOW else (left + room, width - 1.0)
        pen.stroke(f"M{ends[0]:.1f} {at:.1f}H{ends[1]:.1f}", "plum", 3.0, stroke_dasharray="0.1 5",
                   stroke_linecap="round")  # fmt: skip
    return _svg(width, height, "".join(pen.marks))


class Range(NamedTuple):
    """A value with its band (None: no band is known), behind a few words."""

    words: str
    value: float
    low: float | None
    high: float | None
    bold: bool = False


def ranges_on_one_ruler(
    ranges: Sequence[Range], words: str, theme: str, width: int = 400, height: int = 96
) -> str:
    """Bands under one another over one ruler; zero is marked where it lies on it."""
    pen = Pen(THEMES[theme], LAPTOP)
    names = max(pen.width(each.words, 16, "bold" if each.bold else "regular") for each in ranges) + 14
    ends = [end for each in ranges for end in (each.low, each.value, each.high) if end is not None]
    low, high = min(0.0, *ends), max(0.0, *ends)
    air = 0.06 * (high - low or 1.0)
    ruler = Ruler(low - air, high + air, words)
    box = Box(names, 0.0, width - names - 12.0, height)
    foot = height - 44.0
    pitch = foot / len(ranges)

    def across(value: float) -> float:
        return box.left + (value - ruler.low) / (ruler.high - ruler.low) * box.width

    for place, each in enumerate(ranges):
        middle = (place + 0.5) * pitch
        voice, token = ("bold", "ink") if each.bold else ("regular", "ink2")
        pen.text((names - 12, middle + 5), each.words, 16, anchor="end", voice=voice, token=token)
        if each.low is not None and each.high is not None:
            wide = across(each.high) - across(each.low)
            pen.add("rect", x=across(each.low), y=middle - 7, width=wide, height=14.0, stroke_width=1.0,
                    fill=pen.theme.neutral_fill, stroke=pen.theme.line)  # fmt: skip
        pen.segment((across(each.value), middle - 9), (across(each.value), middle + 9), "ink", 3.0)
    pen.segment((across(0.0), 0.0), (across(0.0), foot), "line", 1.0)
    draw_ruler(pen, ruler, Box(box.left, foot, box.width, CELL_HEIGHT))
    pen.text((box.right, height - 2.0), words, 14, anchor="end", token="ink2")
    return _svg(width, height, "".join(pen.marks))


def curtain_icon(drawn: bool, theme: str) -> str:
    """A rail with two halves of cloth: together where it is drawn, at the sides where it is open."""
    pen = Pen(THEMES[theme], LAPTOP)
    pen.segment((0.0, 2.0), (54.0, 2.0), "ink", 3.4)
    folds = (6, 13, 20, 27, 34, 41, 48) if drawn else (6, 12, 42, 48)
    for left in folds:
        pen.add("rect", x=float(left - 3), y=3.0, width=6.0, height=33.0, fill=pen.theme.glaze2)
        pen.segment((left, 3.0), (left, 36.0), "ink", 1.8)
    return _svg(54, 38, "".join(pen.marks))


def card_back(theme: str) -> str:
    """The back of a card: a contour of shoulders."""
    pen = Pen(THEMES[theme], LAPTOP)
    pen.add("rect", x=1.0, y=1.0, width=60.0, height=88.0, rx=5, fill=pen.theme.sheet, stroke=pen.theme.ink,
            stroke_width=2.0)  # fmt: skip
    pen.block(Box(7.0, 7.0, 48.0, 76.0), "glaze")
    for row in range(7):
        x, y = shoulder(Box(7.0, 7.0 + 9.0 * row, 48.0, 20.0), reach=0.8)
        pen.stroke(polyline(x, y), "line", 1.8)
    return _svg(62, 90, "".join(pen.marks))


def minutes_bar(minutes: float, most: float, theme: str, width: int = 240) -> str:
    """The minutes of a card on the ruler that all cards share."""
    pen = Pen(THEMES[theme], LAPTOP)
    share = min(1.0, minutes / max(most, 1e-9))
    pen.block(Box(0.0, 2.0, width, 10.0), "glaze2")
    pen.block(Box(0.0, 2.0, share * width, 10.0), "ink")
    return _svg(width, 14, "".join(pen.marks), "none")


def _svg(width: int, height: int, inside: str, stretched: str | None = None) -> str:
    """Decoration: its words stand beside it."""
    return element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {width} {height}", "width": width,
            "height": height, "aria-hidden": "true", "font-family": UPRIGHT,
            "preserveAspectRatio": stretched,
        },
        inside or "<g/>",
    )  # fmt: skip
