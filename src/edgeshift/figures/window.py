"""The same figure over another window of its ruler: zooming and panning ask for it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from edgeshift.errors import QuestionRefused
from edgeshift.figures.ranges import (
    MOST_BAND,
    band_held,
    lower_reach,
    marks_reach,
    padded,
    scale_bar,
    upper_reach,
)
from edgeshift.records.figure import (
    Band,
    Beyond,
    Figure,
    FlagMark,
    Ghost,
    Label,
    Line,
    Mark,
    Numbers,
    Panel,
    Plot,
    Strip,
)
from edgeshift.wording import bands
from edgeshift.wording import figures as words

FEWEST = 4
"""A window must hold so many points of some curve: fewer show a straight line and teach nothing."""
WINDOW, ACT = "the window", "Choose a wider one, or ask for the whole."


def windowed(figure: Figure, low: float, high: float) -> Figure:
    """`figure` from `low` to `high` on the rulers of its plots (eV); the vertical reach follows.

    Ends beyond the ruler are held at it; ladders and all else stay as they are. Always cut the whole figure:
    a cut one knows no more than it shows. Raises QuestionRefused where nothing could be seen.
    """
    plots = [panel for panel in figure.panels if isinstance(panel, Plot)]
    if not plots:
        raise QuestionRefused(
            WINDOW, "a figure with a curve", f"a figure of {figure.kind}", "Ask for its whole."
        )
    found = f"{low:g} to {high:g}"
    if not (math.isfinite(low) and math.isfinite(high) and low < high):
        raise QuestionRefused(WINDOW, "two energies, the lower one first", found, ACT)
    ruler = plots[0].ruler
    low, high = max(low, ruler.low), min(high, ruler.high)
    if not low < high:
        needed = f"energies between {ruler.low:g} and {ruler.high:g} eV"
        raise QuestionRefused(WINDOW, needed, found, ACT)
    points = max(_points(plot, low, high) for plot in plots)
    if points < FEWEST:
        raise QuestionRefused(WINDOW, f"at least {FEWEST} measured points", f"{points} in {found}", ACT)
    panels = tuple(_panel(panel, low, high) for panel in figure.panels)
    return replace(figure, panels=panels, alt=words.plain_alt(figure.alt, [words.shown_from(low, high)]))


def _points(plot: Plot, low: float, high: float) -> int:
    lines = [mark for strip in plot.strips for mark in strip.marks if isinstance(mark, Line)]
    return max((sum(low <= x <= high for x in line.x) for line in lines), default=0)


def _panel(panel: Panel, low: float, high: float) -> Panel:
    if not isinstance(panel, Plot):
        return panel
    upper = _upper(panel.strips[0], low, high)
    above = upper.high - upper.low
    lower = tuple(_lower(strip, above, low, high) for strip in panel.strips[1:])
    return replace(
        panel,
        ruler=replace(panel.ruler, low=low, high=high),
        strips=(upper, *lower),
        bar=panel.bar and scale_bar(panel.bar.unit, above),
        hairlines=tuple(at for at in panel.hairlines if low <= at <= high),
    )


def _marks(strip: Strip, low: float, high: float) -> tuple[Mark, ...]:
    """What is left of the marks, but for what was said of bands that are cut: that is said anew."""
    left = (_mark(mark, low, high) for mark in strip.marks)
    return tuple(mark for mark in left if mark is not None and mark != Label(words.BANDS_CUT))


def _upper(strip: Strip, low: float, high: float) -> Strip:
    marks = _marks(strip, low, high)
    cut = upper_reach(marks) != marks_reach(marks)
    held = padded(*_with_flags(marks), 0.04)
    return replace(strip, low=held[0], high=held[1], marks=(*marks, Label(words.BANDS_CUT)) if cut else marks)


def _lower(strip: Strip, above: float, low: float, high: float) -> Strip:
    marks = _marks(strip, low, high)
    held = lower_reach(marks, above)
    cut = band_held(marks, MOST_BAND * above) != marks_reach(marks)
    note = bands.strip_note(cut, any(isinstance(mark, Beyond) for mark in marks))
    return replace(strip, low=held[0], high=held[1], marks=marks, note=note)


def _with_flags(marks: tuple[Mark, ...]) -> tuple[float, float]:
    """What curves reach over, doubted points included."""
    held = upper_reach(marks)
    doubted = [mark.y for mark in marks if isinstance(mark, FlagMark)]
    return min([held[0], *doubted]), max([held[1], *doubted])


def _mark(mark: Mark, low: float, high: float) -> Mark | None:
    """What is left of a mark between the two; None where that is nothing."""
    if isinstance(mark, Line | Ghost):
        x, (y,) = _cut(mark.x, (mark.y,), low, high)
        return replace(mark, x=x, y=y) if x else None
    if isinstance(mark, Band):
        x, (lower, upper) = _cut(mark.x, (mark.low, mark.high), low, high)
        return replace(mark, x=x, low=lower, high=upper) if x else None
    if isinstance(mark, FlagMark):
        return mark if low <= mark.x <= high else None
    if isinstance(mark, Beyond):
        inside = [(max(s[0], low), min(s[-1], high)) for s in mark.stretches if s[-1] >= low and s[0] <= high]
        return Beyond(tuple(inside)) if inside else None
    return mark


def _cut(
    x: Numbers, curves: tuple[Numbers, ...], low: float, high: float
) -> tuple[Numbers, tuple[Numbers, ...]]:
    """The points between the two; at an end where the curve goes on one point between its neighbours."""
    at = np.asarray(x, dtype=float)
    inside = (at >= low) & (at <= high)
    first, last = ([end] if at.size and at[0] < end < at[-1] and end not in at else [] for end in (low, high))

    def cut(values: Numbers) -> Numbers:
        known = np.asarray(values, dtype=float)
        before, after = np.interp(first, at, known), np.interp(last, at, known)
        return tuple(np.concatenate((before, known[inside], after)).tolist())

    return cut(x), tuple(cut(curve) for curve in curves)
