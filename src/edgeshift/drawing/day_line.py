"""The day line: high and glazed where it has happened; at the present it falls to paper, the rest is ours."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np

from edgeshift.drawing.day_marks import Day, draw_moments
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shoulder import shoulder
from edgeshift.drawing.svg import polyline
from edgeshift.records.figure import DayLine
from edgeshift.records.shift_state import moment
from edgeshift.wording.day import LANES

LANES_FROM = 130.0
"""A line at least this high and 900 wide has a lane for each kind of moment."""
FALL = 48.0
"""Pixels on the Stage that the fall takes."""


def draw_day_line(pen: Pen, line: DayLine, box: Box) -> None:
    """The whole of it, from edge to edge of `box`."""
    day = _measured(pen, line, box)
    _draw_ground(pen, day, box)
    _draw_hours(pen, day)
    _draw_lane_names(pen, day, box)
    draw_moments(pen, day, _draw_left(pen, day, box))
    _draw_present(pen, day)
    pen.add(
        "rect", x=day.ruler.left, y=box.top, width=day.ruler.width, height=box.height, fill="none",
        data_plot="time", data_left=day.ruler.left, data_right=day.ruler.right, data_low=line.begin,
        data_high=line.end,
    )  # fmt: skip


def _measured(pen: Pen, line: DayLine, box: Box) -> Day:
    """Where the ruler, the lanes and the present are, in this box."""
    lanes = box.height >= LANES_FROM and box.width >= 900
    margin = 48.0 if box.width >= 1100 else 16.0
    names = (
        max(pen.width(name, pen.sizes.small) for name in _lane_names(line).values()) + 20 if lanes else 0.0
    )
    side = 32.0 if lanes else margin
    tall = 20.0 if box.width >= 600 else 18.0
    ruler = Box(box.left + side + names, box.bottom - 6 - tall, box.width - 2 * side - names, tall)
    begin, end = moment(line.begin), moment(line.end)
    return Day(line, ruler, begin, end, box.top + 6, lanes)


def _draw_ground(pen: Pen, day: Day, box: Box) -> None:
    """Glaze beneath one edge that runs high until the present, falls, and runs low to the end."""
    wide = FALL * pen.sizes.scale
    low = day.ruler.top - (18.0 if box.height > 80 else 10.0)
    x, y = shoulder(Box(day.now - wide / 2, day.top, wide, low - day.top), 31, 1.0, 4.0)
    across = np.concatenate(([box.left], x, [box.right]))
    down = np.concatenate(([day.top], day.top + low - y, [low]))  # the shoulder upside down: a fall
    path = polyline(across, down)
    pen.add("path", d=f"{path}V{box.bottom:.1f}H{box.left:.1f}Z", fill=pen.theme.glaze)
    if day.line.live is None:
        return pen.stroke(path, "ink", 2.0)
    pen.stroke(polyline(across[:-1], down[:-1]), "ink", 2.0)
    rest = f"M{x[-1]:.1f} {low:.1f}H{box.right:.1f}"
    return pen.stroke(rest, "ink", 2.0, stroke_dasharray="0.1 6", stroke_linecap="round")


def _draw_hours(pen: Pen, day: Day) -> None:
    """Cells of an hour: ink and sheet in the past, pale and sheet ahead."""
    ruler, step = day.ruler, _hours_in_a_cell(pen, day)
    places = [day.begin + timedelta(hours=n) for n in range(0, math.ceil(day.hours), step)]
    pen.block(ruler, "sheet")
    for place, hour in enumerate(places):
        left = day.across(hour)
        right = min(day.across(hour + timedelta(hours=step)), ruler.right)
        if place % 2 == 0:
            past = min(max(day.now, left), right)
            pen.block(Box(left, ruler.top, past - left, ruler.height), "ink")
            pen.block(Box(past, ruler.top, right - past, ruler.height), "glaze2")
        _draw_hour(pen, day, hour, left, right, place % 2 == 0)
    pen.block(ruler, None, outline=1.5)


def _hours_in_a_cell(pen: Pen, day: Day) -> int:
    """One, or as many as give their number room."""
    pitch = day.ruler.width / day.hours
    return max(1, math.ceil((2 * pen.sizes.small + 4) / pitch))


def _draw_hour(pen: Pen, day: Day, hour: datetime, left: float, right: float, dark: bool) -> None:
    """Its number at the start of the cell, or behind the present where that runs through it."""
    there = hour.astimezone(UTC) + timedelta(minutes=day.line.offset_min)
    size = min(pen.sizes.small, 17.0)
    words = f"{there.hour}"
    wide = pen.width(words, size) + 6
    at = left + 6
    if at - 4 < day.now < at + wide:
        at = day.now + 5
    if at + wide > right:
        return
    past = dark and at < day.now
    baseline = day.ruler.top + day.ruler.height / 2 + 0.36 * size
    pen.text((at, baseline), words, size, token="sheet" if past else "ink")


def _draw_lane_names(pen: Pen, day: Day, box: Box) -> None:
    if day.lanes:
        for lane, name in _lane_names(day.line).items():
            pen.text((box.left + 32, day.foot(lane) - 1), name, pen.sizes.small, token="ink2")


def _lane_names(line: DayLine) -> dict[str, str]:
    """What each row is called."""
    return dict(zip(LANES, line.lanes or LANES.values(), strict=True))


def _draw_present(pen: Pen, day: Day) -> None:
    foot = day.ruler.bottom + 4
    pen.segment((day.now, day.top - 2), (day.now, foot), "ink", 2.5 if day.line.live is None else 1.5)


def _draw_left(pen: Pen, day: Day, box: Box) -> tuple[float, float]:
    """What is left, after the fall, or before it where the end is near; returns from where to where."""
    size = pen.sizes.words * (1.2 if box.width >= 600 else 1.0)
    y = day.top + (0.92 * size + 4 if box.height > 80 else 0.9 * size)
    start, stop = day.now + 0.62 * FALL * pen.sizes.scale, day.now - 12
    for words in _left_words(day):
        wide = pen.width(words, size, "bold")
        if start + wide <= box.right - 6:
            pen.text((start, y), words, size, voice="bold")
            return start, start + wide
        if stop - wide >= box.left + 6:
            pen.text((stop, y), words, size, anchor="end", voice="bold")
            return stop - wide, stop
    return day.now, day.now


def _left_words(day: Day) -> list[str]:
    """What may be told, at best first: the clock too where there is room for a reader, or none for more."""
    line = day.line
    whole = ", ".join(part for part in (line.at, line.left) if part)
    told = whole if day.lanes or line.live else line.left or line.at
    return [told, line.left if not line.live else line.at]
