"""In what form is it there? The curve, its references added up, what is left, and every share's fan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.figures.ranges import at_least, floats, marks_reach, padded, scale_bar
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Band, Fans, Figure, Line, Mark, Plot, Ruler, Spread, Strip
from edgeshift.wording import figures as words
from edgeshift.wording import mixtures as said

LEAST_STRIP = 0.22
"""What is left gets at least this share of what the curve reaches over."""


def figure(answer: Answer) -> Figure:
    """The picture of `detail["shares"]`."""
    detail = answer.detail
    panels = (_plot(detail, answer.edge), *fans(detail, 0.44))
    told = [*said.shares_alt(detail), words.energy_at(answer.edge)]
    return Figure("shares", answer.marked, panels, words.plain_alt(answer.sentence, told))


def _plot(detail: Mapping[str, Any], edge: str | None) -> Plot:
    curves = detail["curves"]
    x, value, sigma = (floats(curves[key]) for key in ("energy_ev", "value", "sigma"))
    low = tuple(v - 2 * s for v, s in zip(value, sigma, strict=True))
    high = tuple(v + 2 * s for v, s in zip(value, sigma, strict=True))
    name = said.name(detail["specimen"])
    upper_marks: list[Mark] = [
        Band(x, low, high, "control"),
        Line(x, value, "control", name),
        Line(x, floats(curves["fit"]), "treated", said.SUM_SHORT),
    ]
    upper = Strip(*padded(*marks_reach(upper_marks), 0.04), tuple(upper_marks))
    lower_marks: list[Mark] = [Line(x, floats(curves["left"]), "neutral", said.LEFT_SHORT)]
    if detail["missing"]:
        missing = detail["missing"]
        lower_marks.append(Line(x, floats(missing["left"]), "third", said.missing_short(missing)))
    bottom, top = marks_reach(lower_marks)
    bottom, top = padded(min(bottom, 0.0), max(top, 0.0), 0.1)
    bottom, top = at_least(bottom, top, LEAST_STRIP * (upper.high - upper.low))
    lower = Strip(bottom, top, tuple(lower_marks), zero=True, title=said.LEFT_TITLE)
    bar = scale_bar(curves["unit"], upper.high - upper.low)
    return Plot(Ruler(min(x), max(x), words.energy_at(edge)), (upper, lower), bar, share=0.56)


def fans(detail: Mapping[str, Any], wide: float) -> tuple[Fans, ...]:
    """The fan of every share, `wide` its part of the sheet; none of one reference alone."""
    if detail["alone"]:
        return ()
    shares = detail["shares"]
    most = said.main_share(shares)
    rows = tuple(_row(key, one, key == most) for key, one in shares.items())
    return (Fans(Ruler(0.0, 1.0, said.FAN_WORDS), rows, share=wide),)


def _row(key: str, one: Mapping[str, Any], main: bool) -> Spread:
    formal, half = one["formal"]["value"], one["formal"]["half"]
    return Spread(
        said.name(key),
        one["value"],
        (one["low"], one["high"]),
        tuple(one["inner"]["80"]),
        tuple(one["inner"]["50"]),
        said.reading(one),
        (max(0.0, formal - half), min(1.0, formal + half)),
        said.formal_reading(one),
        main,
    )
