"""What a guess is drawn over, and the scan that answered it: one curve, in the unit of the sketches."""

from __future__ import annotations

import numpy as np

from edgeshift.figures.ranges import padded, reach, scale_bar
from edgeshift.figures.trust import trace_figure
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Band, Figure, Label, Line, Numbers, Plot, Ruler, Strip
from edgeshift.records.flags import FLAGS
from edgeshift.records.spectrum import Spectrum
from edgeshift.wording import figures as words
from edgeshift.wording import rounds as said

ROOM_ABOVE, ROOM_BELOW = 0.45, 0.12
"""Shares of what the curve reaches over that are left free for what people expect."""
EMPTY = (-0.3, 2.6)
"""Heights of a frame in which nothing was measured yet: a white line is rarely taller (common practice)."""


def expected(
    edge: str,
    unit: str,
    ends: tuple[float, float],
    curve: tuple[Numbers, Numbers] | None = None,
    band: tuple[Numbers, Numbers] | None = None,
    arm: str = "",
    held: tuple[float, float] | None = None,
) -> Figure:
    """The curve of `arm` (energies, heights) in its band (low, high) with room for a sketch.

    Without a curve the frame is empty, from one of `ends` (eV) to the other; it reaches over `held`, where
    that is given.
    """
    marks: list[Band | Line | Label] = []
    if curve and band:
        marks.append(Band(curve[0], *band, "control"))
    if curve:
        marks.append(Line(*curve, "control", marked=True))
        marks.append(Label(said.measured(words.arm(arm), bool(band))))
    low, high = held or _held(reach((curve[1], *(band or ()))) if curve else None)
    ruler = Ruler(*((curve[0][0], curve[0][-1]) if curve else ends), words.energy_at(edge))
    plot = Plot(ruler, (Strip(low, high, tuple(marks)),), scale_bar(unit, high - low))
    told = said.sheet_alt(words.arm(arm) if curve else "", bool(band), edge, ruler.low, ruler.high)
    return Figure("real", "", (plot,), told)


def _held(curve: tuple[float, float] | None) -> tuple[float, float]:
    if curve is None:
        return EMPTY
    low, high = padded(*curve, 0.0)
    return low - ROOM_BELOW * (high - low), high + ROOM_ABOVE * (high - low)


def answering(answer: Answer, scan: str, curve: Spectrum) -> Figure:
    """The scan that answered a guess, scaled as the sketches are, in its band, with its flags."""
    marks = [
        {"energy_ev": float(curve.energy_ev[row]), "code": flag.code, "words": flag.words}
        for flag in FLAGS
        for row in np.flatnonzero(curve.flags & flag.bit)
    ]
    numbers = {name: getattr(curve, name).tolist() for name in ("energy_ev", "value", "sigma")}
    return trace_figure(answer, {"scan": scan, **numbers, "flags": marks, "unit": curve.unit})
