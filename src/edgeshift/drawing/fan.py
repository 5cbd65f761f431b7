"""A pump-down: readings as dots, futures as nested tints, the typed limit as a shore, the answer on it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from edgeshift.drawing.curves import Frame, array
from edgeshift.drawing.flags import draw_flags, headroom
from edgeshift.drawing.metrics import fit_lines
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, draw_ruler
from edgeshift.drawing.svg import polygon, polyline
from edgeshift.records.figure import Capsule, Fan, FlagMark

LEADING = 1.24
MOST_DOTS = 70
"""A denser log is thinned: dots that run into one another are a line, and this is no fit."""


def draw_fan(pen: Pen, fan: Fan, box: Box) -> None:
    """Everything of `fan` inside `box`."""
    place = _place(pen, fan, box)
    frame, foot = place.frame, place.foot
    _draw_scale(pen, fan, frame, box)
    if fan.future:
        _draw_future(pen, fan, frame)
    if fan.now_words and fan.x:
        _draw_now(pen, fan, frame, foot, (box.left, box.top))
    if fan.limit is not None:
        _draw_shore(pen, fan, frame)
    _draw_dots(pen, fan, frame)
    draw_flags(pen, frame, _flags(fan), place.flags_top)
    if fan.capsule and fan.limit is not None:
        _draw_capsule(pen, fan.capsule, frame, float(frame.down(math.log10(fan.limit))))
    draw_ruler(pen, fan.ruler, Box(frame.box.left, foot, frame.box.width, CELL_HEIGHT))
    at = (frame.box.right, foot + CELL_HEIGHT + 2.3 * pen.sizes.small)
    pen.text(at, fan.ruler.words, pen.sizes.small, anchor="end", token="ink2")
    _draw_words(pen, fan, place)


class _Place(NamedTuple):
    """Where things stand: the frame (vertical unit: powers of ten), the ruler's y, flags, and words."""

    frame: Frame
    foot: float
    flags_top: float
    words: Box
    beneath: bool


def _place(pen: Pen, fan: Fan, box: Box) -> _Place:
    size, beneath = pen.sizes.small, box.width < 600
    left = max(pen.width(_tick(power), size) for power in _powers(*_reach(fan))) + 16 * pen.sizes.scale
    wide = 0.0 if beneath else max(0.24 * box.width, 190 * pen.sizes.scale)
    rows = _words(pen, fan, box.width if beneath else wide - 26 * pen.sizes.scale)
    tall = sum(len(lines) * LEADING * _size(pen, bold) for lines, bold in rows) + 10 if beneath else 0.0
    foot = box.bottom - CELL_HEIGHT - 2.7 * size - tall
    body = Box(box.left + left, box.top, box.width - left - wide, foot - box.top - 6)
    flat = Frame(body, fan.ruler, 0.0, 1.0)
    flags_top = box.top + (1.3 * pen.sizes.name if fan.now_words else 0.0)
    head = flags_top - box.top + headroom(pen, flat, _flags(fan)) + 6 * pen.sizes.scale
    head = max(head, 1.6 * size)
    inside = Box(body.left, body.top + head, body.width, body.height - head)
    words = (
        Box(box.left, foot + CELL_HEIGHT + 3.4 * size, box.width, tall)
        if beneath
        else Box(body.right + 26 * pen.sizes.scale, box.top, wide - 26 * pen.sizes.scale, foot - box.top)
    )
    return _Place(Frame(inside, fan.ruler, *_reach(fan)), foot, flags_top, words, beneath)


def _reach(fan: Fan) -> tuple[float, float]:
    """Powers of ten from the lowest thing drawn to the highest, with a little air."""
    values = [*fan.y, *([fan.limit] if fan.limit is not None else [])]
    if fan.future:
        values += [*fan.future.low, *fan.future.high]
    logs = np.log10([value for value in values if value > 0] or [1.0])
    return float(logs.min()) - 0.14, float(logs.max()) + 0.06


def _powers(low: float, high: float) -> list[float]:
    """The powers of ten that are named: two or three; within one decade also 2 and 5 of them."""
    whole = list(range(math.ceil(low), math.floor(high) + 1))
    if len(whole) >= 2:
        return [float(power) for power in whole[:: math.ceil(len(whole) / 4)]]
    parts = [
        power + math.log10(step)
        for power in range(math.floor(low), math.ceil(high) + 1)
        for step in (1, 2, 5)
    ]
    return [part for part in parts if low <= part <= high] or [float(round(low))]


def _tick(power: float) -> str:
    whole = math.floor(power + 1e-9)
    step = round(10 ** (power - whole))
    head = "" if step == 1 else f"{step}\u00a0×\u00a0"
    return f"{head}10^{whole}".replace("^-", "^\u2212")


def _draw_scale(pen: Pen, fan: Fan, frame: Frame, box: Box) -> None:
    """Two or three powers of ten at the left, the scale's words over them."""
    size = pen.sizes.small
    for power in _powers(frame.low, frame.high):
        y = float(frame.down(power))
        pen.text(
            (frame.box.left - 14 * pen.sizes.scale, y + 0.34 * size),
            _tick(power),
            size,
            anchor="end",
            token="ink2",
        )
        pen.segment((frame.box.left - 10 * pen.sizes.scale, y), (frame.box.left, y), "line", 1.5)
    pen.text((box.left, box.top + 0.8 * size), fan.scale, size, token="ink2")


def _draw_future(pen: Pen, fan: Fan, frame: Frame) -> None:
    """The 80 % tint with its edge, the 50 % tint, and the middle as dots."""
    future = fan.future
    x = frame.across(array(future.x))
    for low, high, token in (
        (future.low, future.high, "fan_fill"),
        (future.quarter, future.three_quarters, "fan_core"),
    ):
        upper, lower = frame.down(np.log10(array(high))), frame.down(np.log10(array(low)))
        path = polygon(x, upper, lower)
        pen.add("path", d=path, fill=pen.colour(token))
        if token == "fan_fill":
            pen.stroke(path, "line", 1.0)
    middle = polyline(x, frame.down(np.log10(array(future.middle))))
    pen.stroke(middle, "ink", 3.0 * pen.sizes.scale, stroke_dasharray="2 7", stroke_linecap="round")


def _draw_now(pen: Pen, fan: Fan, frame: Frame, foot: float, corner: tuple[float, float]) -> None:
    left, top = corner
    x = float(frame.across(fan.x[-1]))
    pen.stroke(f"M{x:.1f} {frame.box.top:.1f}V{foot - 4:.1f}", "line", 1.8, stroke_dasharray="2 5")
    half = pen.width(fan.now_words, pen.sizes.name, "bold") / 2
    free = left + pen.width(fan.scale, pen.sizes.small) + 14 * pen.sizes.scale
    at = min(max(x, free + half), frame.box.right - half)
    pen.text((at, top + 0.85 * pen.sizes.name), fan.now_words, pen.sizes.name, anchor="middle", voice="bold")


def _draw_shore(pen: Pen, fan: Fan, frame: Frame) -> None:
    """An ink line with short strokes beneath it, like a coast on a chart."""
    y, scale = float(frame.down(math.log10(fan.limit))), pen.sizes.scale
    right = frame.box.right + 12 * scale
    pitch, drop = 17 * scale, 9 * scale
    strokes = np.arange(frame.box.left + drop, right, pitch)
    path = "".join(f"M{x:.1f} {y + 2:.1f}L{x - drop:.1f} {y + drop:.1f}" for x in strokes)
    pen.stroke(path, "ink", 1.6 * scale)
    pen.segment((frame.box.left, y), (right, y), "ink", 3.0 * scale)


def _draw_dots(pen: Pen, fan: Fan, frame: Frame) -> None:
    x, y = array(fan.x), np.log10(array(fan.y))
    chosen = (
        np.unique(np.linspace(0, len(x) - 1, min(len(x), MOST_DOTS)).round().astype(int)) if len(x) else []
    )
    for at in chosen:
        pen.add("circle", cx=float(frame.across(x[at])), cy=float(frame.down(y[at])), r=4.6 * pen.sizes.scale,
                fill=pen.theme.ink)  # fmt: skip


def _draw_capsule(pen: Pen, capsule: Capsule, frame: Frame, y: float) -> None:
    """Straw on the shore, an open ring at the middle, three numbers above; open where there is no end."""
    tall, scale = 14.0 * pen.sizes.scale, pen.sizes.scale
    left, at = float(frame.across(capsule.low)), float(frame.across(capsule.value))
    right = frame.box.right if capsule.high is None else float(frame.across(capsule.high))
    right = max(right, left + 2 * tall)
    at = min(max(at, left + tall / 2), right - tall / 2)
    pen.block(Box(left, y - tall / 2, right - left, tall), "straw", 2.2, radius=tall / 2)
    if capsule.high is None:
        pen.block(Box(right - tall, y - tall / 2 - 2, tall + 2, tall + 4), "sheet")
        pen.stroke(f"M{right - tall:.1f} {y:.1f}H{right:.1f}", "ink", 3.0 * scale, stroke_dasharray="2 6")
    pen.add(
        "circle",
        cx=at,
        cy=y,
        r=0.6 * tall,
        fill=pen.theme.sheet,
        stroke=pen.theme.ink,
        stroke_width=2.4 * scale,
    )
    _draw_numbers(pen, capsule, frame, (left, at, right), y - 1.25 * tall)


def _draw_numbers(
    pen: Pen, capsule: Capsule, frame: Frame, ends: tuple[float, float, float], y: float
) -> None:
    """The middle bold over its ring; the ends beside it, moved apart where they would touch."""
    low, middle, high = capsule.words
    big, small = 1.35 * pen.sizes.name, pen.sizes.name
    half = pen.width(middle, big, "bold") / 2
    air = 0.5 * small
    high_wide, low_wide = pen.width(high, small), pen.width(low, small)
    at = min(max(ends[1], frame.box.left + low_wide + air + half), frame.box.right - high_wide - air - half)
    pen.text((at, y), middle, big, anchor="middle", voice="bold")
    left = max(frame.box.left + low_wide, min(ends[0] + low_wide / 2, at - half - air))
    pen.text((left, y), low, small, anchor="end")
    right = max(at + half + air, min(ends[2] - high_wide / 2, frame.box.right - high_wide))
    pen.text((right, y), high, small)


def _flags(fan: Fan) -> list[FlagMark]:
    return [FlagMark(flag.x, math.log10(flag.y), flag.words, flag.code) for flag in fan.flags]


def _size(pen: Pen, bold: bool) -> float:
    return pen.sizes.words if bold else pen.sizes.small


def _words(pen: Pen, fan: Fan, width: float) -> list[tuple[list[str], bool]]:
    """Blocks of words beside the picture: (lines, bold)."""
    said = [(fan.aside[0], True), *((line, False) for line in fan.aside[1:])] if fan.aside else []
    if fan.limit is not None:
        said += [(fan.limit_words[0], True), (fan.limit_words[1], False)]
    if fan.future and fan.future_words:
        said.append((fan.future_words, False))
    return [
        (fit_lines(text, _size(pen, bold), width, 4, "bold" if bold else "regular"), bold)
        for text, bold in said
        if text
    ]


def _draw_words(pen: Pen, fan: Fan, place: _Place) -> None:
    """Beneath one another on a phone; else the likely cause at the top and the limit's words at its shore."""
    y = place.words.top + (0.0 if place.beneath else 1.3 * pen.sizes.name)
    for lines, bold in _words(pen, fan, place.words.width):
        size = _size(pen, bold)
        if not place.beneath and bold and fan.limit is not None and lines[0][:9] == fan.limit_words[0][:9]:
            shore = float(place.frame.down(math.log10(fan.limit)))
            y = max(y + 0.6 * size, min(shore - 0.4 * size, place.words.bottom - 4.2 * size))
        for line in lines:
            pen.text((place.words.left, y + 0.8 * size), line, size, voice="bold" if bold else "regular",
                     token="ink" if bold else "ink2")  # fmt: skip
            y += LEADING * size
