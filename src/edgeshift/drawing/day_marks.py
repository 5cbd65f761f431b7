"""The marks on the day line: people a bar, vacuum a wedge, scans ticks, a trip, decisions, notes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from edgeshift.drawing.markers import marker
from edgeshift.drawing.metrics import shorten
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.svg import polygon
from edgeshift.records.figure import DayLine, Moment
from edgeshift.records.shift_state import moment
from edgeshift.wording.day import LANES, PUMPING, STATES, clock, together, told

_LANE = {"people": "people", "vacuum": "vacuum", "scan": "scans", "trip": "scans", "plan": "scans"}
_FEET = {"people": 0.19, "vacuum": 0.40, "scans": 0.73, "decisions": 0.98}
"""How far down the marks of each lane stand: scans have words above them and need most room."""
LEAST = 14.0
"""Pixels that a mark with a length has at least, and a place that can be pressed is wide."""
AHEAD_CLEAR = 22.0
"""Pixels above the ruler that the edge takes where the day lies ahead."""


@dataclass(frozen=True)
class Day:
    """The line on the sheet: its ruler from `begin` to `end`, the y of its upper edge, lanes or one row.

    `taken` is where in the upper row words stand already, from and to, in pixels.
    """

    line: DayLine
    ruler: Box
    begin: datetime
    end: datetime
    top: float
    lanes: bool
    taken: tuple[float, float] = (0.0, 0.0)

    @property
    def hours(self) -> float:
        """How long the line is."""
        return (self.end - self.begin).total_seconds() / 3600

    @property
    def now(self) -> float:
        """The x of the present."""
        return self.across(moment(self.line.now))

    def across(self, when: datetime) -> float:
        """Pixels from the left of the sheet for a time, held on the ruler."""
        share = (when - self.begin).total_seconds() / 3600 / self.hours
        return self.ruler.left + min(max(share, 0.0), 1.0) * self.ruler.width

    def foot(self, lane: str) -> float:
        """The y on which the marks of a lane stand; without lanes all stand right above the ruler."""
        if not self.lanes:
            return self.ruler.top - 4
        return self.top + _FEET[lane] * (self.ruler.top - 6 - self.top)

    def lane(self, kind: str, left: float, right: float) -> str:
        """The lane of a mark; people who would run through words of the upper row stand where scans do."""
        meets = left < self.taken[1] + 12 and right > self.taken[0] - 12
        return "scans" if kind == "people" and left > self.now and meets else _LANE.get(kind, "decisions")

    def lifted(self, left: float) -> float:
        """The y of a decision at this x: ahead of the present the edge runs low, and marks stand on it."""
        foot = self.foot("decisions")
        return min(foot, self.ruler.top - AHEAD_CLEAR) if self.lanes and left > self.now else foot

    def ahead(self, one: Moment) -> bool:
        """Whether it lies after the present, and is not known yet unless it was planned."""
        return self.across(moment(one.start)) > self.now

    def span(self, one: Moment) -> tuple[float, float]:
        """From where to where a moment reaches, never beyond the present unless it began after it."""
        left = self.across(moment(one.start))
        right = self.across(moment(one.end)) if one.end else left
        if left <= self.now and not one.planned:
            right = min(right, max(self.now, left))
        return left, max(left, right)


def draw_moments(pen: Pen, day: Day, taken: tuple[float, float]) -> None:
    """Every moment, each a place of its own, and the words of those for which there is room.

    `taken` is where in the upper row words stand already. What a rewound page does
    not know yet stands as a bare tick, to be gone forward to.
    """
    day = replace(day, taken=taken)
    past = [one for one in day.line.moments if day.across(moment(one.start)) <= day.now]
    latest = past[-1] if past else (day.line.moments or (None,))[-1]
    for one in day.line.moments:
        with pen.group(**_place(day, one, one is latest)):
            _press(pen, day, one)
            (_unknown if day.ahead(one) and not one.planned else _MARKS[one.kind])(pen, day, one)
    _draw_words(pen, day, taken)


def _place(day: Day, one: Moment, reached_by_tab: bool) -> dict[str, object]:
    """What a script and a screen reader need; one place is reached by Tab, arrows may go on from there."""
    offset = day.line.offset_min
    ends = [clock(moment(at), offset) for at in (one.start, one.end) if at]
    return {
        "data_time": one.known or one.end or one.start,
        "data_kind": one.kind,
        "data_key": one.key or None,
        "role": "button",
        "tabindex": 0 if reached_by_tab else -1,
        "aria_label": told(one, ends[0], ends[-1]),
    }


def _press(pen: Pen, day: Day, one: Moment) -> None:
    """Room for a finger, unseen."""
    left, right = day.span(one)
    wide = max(right - left, LEAST)
    middle = (left + right) / 2
    foot = day.foot(day.lane(one.kind, left, right))
    box = Box(middle - wide / 2, foot - 26, wide, 30) if day.lanes else Box(
        middle - wide / 2, day.top, wide, day.ruler.top - day.top)  # fmt: skip
    pen.add("rect", x=box.left, y=box.top, width=box.width, height=box.height, fill="none",
            pointer_events="all")  # fmt: skip


def _unknown(pen: Pen, day: Day, one: Moment) -> None:
    x, foot = day.span(one)[0], day.ruler.top - 3
    pen.segment((x, foot), (x, foot - 7), "line", 2.0)


def _people(pen: Pen, day: Day, one: Moment) -> None:
    left, right = day.span(one)
    foot = day.foot(day.lane("people", left, right))
    right = max(right - 2, left + LEAST / 2)
    bar = Box(left, foot - 5 * pen.sizes.scale, right - left, 5 * pen.sizes.scale)
    pen.block(bar, None if one.planned else "line", outline=1.2 if one.planned else 0.0)


def _vacuum(pen: Pen, day: Day, one: Moment) -> None:
    """A wedge that thins as the pressure falls."""
    left, right = day.span(one)
    foot, tall = day.foot("vacuum"), 16 * pen.sizes.scale
    x = np.linspace(left, max(right, left + LEAST), 24)
    upper = foot - 1 - tall * np.exp(-3.4 * np.linspace(0, 1, 24))
    path = polygon(x, upper, np.full(24, foot))
    if one.planned:
        return pen.stroke(path, "ink2", 1.2)
    return pen.add("path", d=path, fill=pen.theme.ink2)


def _scan(pen: Pen, day: Day, one: Moment) -> None:
    """A tick, or the marker of its arm where there is a lane for it; one set aside is broken, in plum."""
    x = sum(day.span(one)) / 2
    foot, tall = day.foot("scans"), 15 * pen.sizes.scale
    token = "plum" if one.state == "set-aside" else "ink"
    if one.state == "set-aside":
        for start, stop in ((0.0, 0.34), (0.66, 1.0)):
            pen.segment((x, foot - tall * start), (x, foot - tall * stop), token, 2.6)
    elif one.state == "running":
        pen.stroke(f"M{x:.1f} {foot:.1f}V{foot - tall:.1f}", token, 2.6, stroke_dasharray="2.6 3.2")
    elif day.lanes and one.role != "neutral":
        marker(pen, one.role, (x, foot - tall / 2), 5.4)
    else:
        pen.segment((x, foot), (x, foot - tall), token, 2.6)


def _trip(pen: Pen, day: Day, one: Moment) -> None:
    """A zigzag as long as the beam was away."""
    left, right = day.span(one)
    right = max(right, left + 28 * pen.sizes.scale)
    foot, tall = day.foot("scans") - 2, 13 * pen.sizes.scale
    turns = max(4, 2 * round((right - left) / (14 * pen.sizes.scale)))
    x = np.linspace(left, right, turns + 1)
    y = [foot - tall * (0.5 if place in (0, turns) else place % 2) for place in range(turns + 1)]
    path = "M" + "L".join(f"{a:.1f} {b:.1f}" for a, b in zip(x.tolist(), y, strict=True))
    pen.stroke(path, "plum", 2.4, stroke_linejoin="miter")


def _decision(pen: Pen, day: Day, one: Moment) -> None:
    """A flag on a pole."""
    x, scale = day.span(one)[0], pen.sizes.scale
    foot = day.lifted(x)
    top = foot - 18 * scale
    pen.segment((x, foot), (x, top), "ink", 2.0)
    ends = f"M{x:.1f} {top:.1f}L{x + 14 * scale:.1f} {top + 5 * scale:.1f}L{x:.1f} {top + 10 * scale:.1f}Z"
    fill = "none" if one.planned else pen.theme.straw
    pen.add("path", d=ends, fill=fill, stroke=pen.theme.ink, stroke_width=1.4)


def _note(pen: Pen, day: Day, one: Moment) -> None:
    """A short wave in pencil: people wrote something."""
    x, foot, scale = day.span(one)[0], day.foot("decisions") - 3, pen.sizes.scale
    path = f"M{x - 6 * scale:.1f} {foot:.1f}q{3 * scale:.1f} {-7 * scale:.1f} {6 * scale:.1f} 0"
    path += f"t{6 * scale:.1f} 0"
    pen.stroke(path, "pencil", 2.2, stroke_linecap="round")


def _plan(pen: Pen, day: Day, one: Moment) -> None:
    left, right = day.span(one)
    y = day.foot("scans") - (3 if day.lanes else 5)
    path = f"M{left:.1f} {y:.1f}H{max(right, left + LEAST):.1f}"
    pen.stroke(path, "line", 2.6, stroke_dasharray="0.1 6", stroke_linecap="round")


_MARKS: Mapping[str, Callable[[Pen, Day, Moment], None]] = {
    "people": _people,
    "vacuum": _vacuum,
    "scan": _scan,
    "trip": _trip,
    "decision": _decision,
    "note": _note,
    "plan": _plan,
}


@dataclass(frozen=True)
class _Said:
    """Words of a mark or of a row of marks, from where to where these reach; `first` before all others."""

    words: str
    kind: str
    left: float
    right: float
    first: bool = False
    ahead: bool = False


def _draw_words(pen: Pen, day: Day, taken: tuple[float, float]) -> None:
    """Words of the longest marks first, and only where they touch no others."""
    if not day.lanes and day.ruler.width < 550:
        return None
    said = sorted(_sayings(day), key=_turn)
    if not day.lanes:
        return _in_one_row(pen, day, said, [taken])
    for lane in LANES:
        here = [one for one in said if day.lane(one.kind, one.left, one.right) == lane]
        if lane in ("people", "scans"):
            _above(pen, day, here, lane, [taken] if lane == "people" else [])
        else:
            _beside(pen, day, sorted(here, key=lambda one: one.left), lane)
    return None


def _turn(one: _Said) -> tuple[bool, float]:
    """What happens now is named first, then what lasts longest."""
    return not one.first, one.left - one.right - 40 * (one.kind == "trip")


def _sayings(day: Day) -> list[_Said]:
    """Scans of one edge in a row share their words; in one row only what lasts is named."""
    found = []
    for some in together(day.line.moments):
        kind, running = some[0].kind, some[0].state == "running"
        words = STATES["running"] if running else _words(day, some[0])
        known = [day.span(one) for one in some if one.planned or not day.ahead(one)]
        if words and known and (day.lanes or kind not in ("decision", "note")):
            ends = min(s[0] for s in known), max(s[1] for s in known)
            found.append(_Said(words, kind, *ends, running, some[0].planned and ends[1] > day.now))
    return found


def _words(day: Day, one: Moment) -> str:
    """What stands at a mark; without lanes a load is told by one word, for there is no room for more."""
    return PUMPING if one.kind == "vacuum" and not day.lanes and one.words else one.words


def _size(pen: Pen) -> float:
    return min(pen.sizes.small, 18.0)


def _in_one_row(pen: Pen, day: Day, said: list[_Said], taken: list[tuple[float, float]]) -> None:
    """Centred over the mark; the words of what is past stay before the present."""
    size = _size(pen)
    for one in said:
        wide = pen.width(one.words, size)
        left = max((one.left + one.right - wide) / 2, day.ruler.left)
        if one.ahead:
            left = max(left, day.now + 5)
        elif one.left <= day.now:
            left = min(left, day.now - wide - 5)
        fits = day.ruler.left - 1 <= left and wide < 1.6 * (one.right - one.left) + 60
        if fits and _free(left, left + wide, taken):
            y = day.ruler.top - 4 - 20 * pen.sizes.scale - (2 if one.left > day.now else 0)
            pen.text((left, y), one.words, size, token="ink2")
            taken.append((left, left + wide))


def _above(pen: Pen, day: Day, said: list[_Said], lane: str, taken: list[tuple[float, float]]) -> None:
    """Above the beginning of the mark."""
    size = _size(pen)
    y = day.foot(lane) - (9 if lane == "people" else 20) * pen.sizes.scale
    for one in said:
        words = shorten(one.words, size, max(180.0, one.right - one.left))
        left = max(one.left - 6, day.ruler.left)
        if one.left >= day.now - 1:
            left = max(left, day.now + 14 * pen.sizes.scale)
        right = left + pen.width(words, size)
        if _free(left, right, taken) and right < day.ruler.right + 30:
            pen.text((left, y), words, size, token="ink2")
            taken.append((left, right))


def _beside(pen: Pen, day: Day, said: list[_Said], lane: str) -> None:
    """Right of the mark as far as the next one or the present lets them, else left of it.

    A note speaks in the voice of people.
    """
    size, taken = _size(pen), day.ruler.left
    for place, one in enumerate(said):
        voice = "italic" if one.kind == "note" else "regular"
        left = one.right + (8 if one.kind == "vacuum" else 20 * pen.sizes.scale)
        wall = min([day.ruler.right, *(other.left - 12 for other in said[place + 1 : place + 2])])
        wall = min(wall, day.now - 6) if one.left <= day.now and not one.ahead else wall
        words = shorten(one.words, size, min(wall - left, 240.0), voice)
        if 2 * len(words) < len(one.words):  # more would be cut than said
            words = one.words
            left = one.left - 8 - pen.width(words, size, voice)
        if left > taken:
            y = day.lifted(one.left) if lane == "decisions" else day.foot(lane)
            pen.text((left, y - 2), words, size, token="ink2", voice=voice)
        taken = max(one.right + 20, left + pen.width(words, size, voice) + 10)


def _free(left: float, right: float, taken: list[tuple[float, float]]) -> bool:
    return all(left > stop + 12 or right < start - 12 for start, stop in taken)
