"""A sheet for a guess, and the same sheet once the other curve is shown: one frame holds both."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from edgeshift.figures.ranges import floats, reach
from edgeshift.figures.real import band_of
from edgeshift.records.figure import Figure, Label, Line, Plot
from edgeshift.wording import figures as words

AIR = 0.04
"""Of the height of the curves, left free above and beneath."""


def two_sheets(sheet: Figure, detail: Mapping[str, Any], alt: str) -> tuple[Figure, Figure]:
    """`sheet` (a control curve to be drawn over) and the same with the treated curve of `detail` in its band.

    Both have one frame, tall enough for both curves and with the names of both, so that a guess drawn over
    the first stays in its place over the second, which is told by `alt`.
    """
    (plot,) = sheet.panels
    assert isinstance(plot, Plot)
    curves = detail["curves"]
    x, treated = floats(curves["energy_ev"]), curves["treated"]
    strip = plot.strips[0]
    low, high = reach((floats(treated["value"]), (strip.low, strip.high))) or (strip.low, strip.high)
    air = AIR * (high - low)
    low, high = (low - air if low < strip.low else low), (high + air if high > strip.high else high)
    names = zip(("control", "treated"), (detail["control"], detail["treated"][0]), strict=True)
    lines = {role: words.arm(arm) for role, arm in names}
    before = [mark for mark in strip.marks if not isinstance(mark, Label)]
    named = [replace(mark, name=lines["control"]) if isinstance(mark, Line) else mark for mark in before]
    second = Line(x, floats(treated["value"]), "treated", lines["treated"], marked=True)
    hidden = replace(second, y=(math.nan,) * len(x))
    empty = replace(strip, low=low, high=high, marks=(*named, hidden))
    shown = replace(empty, marks=(*band_of(x, treated, "treated"), *named, second))
    return (
        replace(sheet, panels=(replace(plot, strips=(empty,)),)),
        replace(sheet, panels=(replace(plot, strips=(shown,)),), alt=alt),
    )


def curves_and_ladder(figure: Figure) -> Figure:
    """A comparison in short: its first strip of curves, and its rungs."""
    panels = (
        replace(panel, strips=panel.strips[:1]) if isinstance(panel, Plot) else panel
        for panel in figure.panels
    )
    return replace(figure, panels=tuple(panels))
