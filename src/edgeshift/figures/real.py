"""Is the difference real? Two curves and their difference at the left, three rungs at the right."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from edgeshift.figures import board
from edgeshift.figures.ladders import ladder
from edgeshift.figures.ranges import (
    MOST_BAND,
    band_held,
    floats,
    lower_reach,
    marks_reach,
    padded,
    reach,
    scale_bar,
    upper_reach,
)
from edgeshift.records.answer import Answer
from edgeshift.records.figure import (
    ARM_ROLES,
    Band,
    Beyond,
    Blank,
    Figure,
    Label,
    Line,
    Mark,
    Numbers,
    Plot,
    Role,
    Ruler,
    Strip,
)
from edgeshift.wording import bands
from edgeshift.wording import figures as words

WIDE_WINDOW = 0.02
"""A window wider than this share of the ruler is shown by both its ends, a narrow one by its middle."""


def figure(answer: Answer) -> Figure:
    """The picture of one answer to "real", from its `detail` alone.

    Where there are no curves, or nothing repeated, the panel says so in place of a plot. The answer that
    sums up all edges gets their board.
    """
    detail = answer.detail
    if "edges" in detail:
        return board.figure(answer)
    curves = detail.get("curves")
    left = _plot(detail, curves) if curves else _no_curves(answer)
    right = ladder(detail)
    panels = (left, right) if curves or detail.get("dots") else (left,)
    return Figure(
        kind="real",
        sentence=answer.marked,
        panels=panels,
        alt=words.real_alt(answer.sentence, detail),
        question_to_room=detail.get("question_to_room"),
    )


def _no_curves(answer: Answer) -> Blank:
    act = answer.would_change_it[0] if answer.would_change_it else ""
    return Blank("cannot-tell", words.no_curves(answer.edge), act, share=0.56)


def _plot(detail: Mapping[str, Any], curves: Mapping[str, Any]) -> Plot:
    x = floats(curves["energy_ev"])
    arms = [
        ("control", detail["control"], curves["control"]),
        ("treated", detail["treated"][0], curves["treated"]),
    ]
    for role, (arm, curve) in zip(ARM_ROLES[2:], curves.get("others", {}).items(), strict=False):
        arms.append((role, arm, curve))
    upper = _curve_strip(x, arms)
    lower = _lower_strips(x, detail, curves, upper.high - upper.low)
    return Plot(
        ruler=Ruler(min(x), max(x), words.energy_at(detail.get("edge"))),
        strips=(upper, *lower),
        bar=scale_bar(curves.get("unit", "step"), upper.high - upper.low),
        hairlines=hairlines(_read_at(detail), min(x), max(x)),
        share=0.56,
        named_above=True,
    )


def _curve_strip(x: Numbers, arms: list[tuple[Role, str, Mapping[str, Any]]]) -> Strip:
    marks: list[Mark] = []
    for role, _, curve in arms:
        marks += band_of(x, curve, role)
    bands = len(marks)
    lines = [Line(x, floats(curve["value"]), role, words.arm(arm), marked=True) for role, arm, curve in arms]
    marks += lines
    low, high = upper_reach(marks)
    if not bands:
        marks.append(Label(words.NO_BAND))
    elif (low, high) != marks_reach(marks):
        marks.append(Label(words.BANDS_CUT))
    return Strip(*padded(low, high, 0.04), tuple(marks))


def band_of(x: Numbers, curve: Mapping[str, Any], role: Role = "neutral") -> list[Mark]:
    """The give-or-take band of a curve, or nothing where none of it is known."""
    low, high = floats(curve.get("low") or ()), floats(curve.get("high") or ())
    known = reach((low, high)) is not None and len(low) == len(x)
    return [Band(x, low, high, role)] if known else []


def _lower_strips(
    x: Numbers, detail: Mapping[str, Any], curves: Mapping[str, Any], above: float
) -> list[Strip]:
    """The difference in the full band and, where there is one, the change of shape in the shape band."""
    left = curves.get("beyond") or {}
    told = bands.difference_title(detail["control"], detail["treated"][0])
    strips = [_lower_strip(x, curves["difference"], above, left.get("full"), told)]
    if curves.get("shape"):
        shape = _lower_strip(x, curves["shape"], above, left.get("shape"), bands.SHAPE)
        strips.append(replace(shape, told=words.shape_alt(curves)))
    return strips


def _lower_strip(
    x: Numbers, curve: Mapping[str, Any], above: float, left: Mapping[str, Any] | None, title: str
) -> Strip:
    """A difference on the scale of the curves, which reach over `above`.

    Where its band leaves zero bars stand; a band that is cut, or barred, is said to be.
    """
    marks = band_of(x, curve)
    marks.append(Line(x, floats(curve["value"])))
    cut = band_held(marks, MOST_BAND * above) != marks_reach(marks)
    held = lower_reach(marks, above)
    stretches = tuple(floats(stretch) for stretch in left["stretches"]) if left else ()
    marks += [Beyond(stretches)] if stretches else []
    note = bands.strip_note(cut, bool(stretches))
    return Strip(*held, tuple(marks), zero=True, title=title, note=note)


def _read_at(detail: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """What the dots read: the feature, else the one energy that was found."""
    found = detail.get("found")
    return detail.get("feature") or (found and {"windows": [[found["energy_ev"]] * 2]})


def hairlines(feature: Mapping[str, Any] | None, low: float, high: float) -> Numbers:
    """Where the feature is read: the middle of a narrow window, both ends of a wide one, in eV."""
    if not feature:
        return ()
    found: list[float] = []
    for start, stop in feature["windows"]:
        wide = stop - start > WIDE_WINDOW * (high - low)
        found += [start, stop] if wide else [(start + stop) / 2]
    return tuple(at for at in found if math.isfinite(at) and low <= at <= high)
