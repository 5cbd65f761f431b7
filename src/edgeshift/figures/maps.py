"""Shares over a stack: a map of each reference, or its curve along a series, beside the fan of the mean."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.figures.ranges import floats, marks_reach, padded, scale_bar, snapped
from edgeshift.figures.shares import fans
from edgeshift.records.answer import Answer
from edgeshift.records.figure import ARM_ROLES, Band, Field, Figure, Line, Mark, Panel, Plot, Ruler, Strip
from edgeshift.wording import figures as words
from edgeshift.wording import mixtures as said

MOST_FIELDS = 3
"""More maps than this would be stamps; the file holds them all."""


def figure(answer: Answer) -> Figure:
    """The picture of `detail["map"]`."""
    found = answer.detail["map"]
    panels: tuple[Panel, ...] = (_series(found),) if "along" in found else tuple(_fields(found))
    told = [said.map_alt(found), *said.shares_alt(answer.detail)]
    spread = fans(answer.detail, 0.44 if "along" in found else 0.9)
    return Figure("shares", answer.marked, (*panels, *spread), words.plain_alt(answer.sentence, told))


def _fields(found: Mapping[str, Any]) -> list[Field]:
    """The references there is most of, each on its own scale from nought."""
    strongest = sorted(found["fields"], key=lambda name: -found["means"][name])[:MOST_FIELDS]
    _, top = snapped(0.0, max(found["tops"][name] for name in strongest) or 1.0)
    return [
        Field(
            said.name(name), tuple(floats(row) for row in found["fields"][name]), Ruler(0.0, top, said.AMOUNT)
        )
        for name in strongest
    ]


def _series(found: Mapping[str, Any]) -> Plot:
    x = floats(found["along"])
    bands: list[Mark] = []
    lines: list[Mark] = []
    strongest = sorted(found["series"], key=lambda name: -found["means"][name])[: len(ARM_ROLES)]
    for role, name in zip(ARM_ROLES, strongest, strict=False):
        one = found["series"][name]
        bands.append(Band(x, floats(one["low"]), floats(one["high"]), role))
        lines.append(Line(x, floats(one["value"]), role, said.name(name)))
    low, high = marks_reach(bands + lines)
    low, high = padded(min(0.0, low), high, 0.04)
    strip = Strip(low, high, (*bands, *lines), zero=True, title=said.SERIES_TITLE)
    return Plot(Ruler(min(x), max(x), said.ALONG), (strip,), scale_bar("step", high - low), share=0.56)
