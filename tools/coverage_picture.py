"""Draw the table that `benchmarks/band_coverage.py` printed: how often each way of looking holds nothing.

The table stands in docs/why/band-coverage.txt, as it was printed. tools/make_pages.py draws it.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from edgeshift.drawing.svg import element
from edgeshift.drawing.tokens import LIGHT, UPRIGHT

ROW = re.compile(r"(.{10})(\w+)\s+([01]\.\d+)\s+([01]\.\d+)\s*$")
WIDTH, LEFT, RIGHT, TOP, PITCH = 900.0, 150.0, 36.0, 92.0, 36.0
WANTED = 0.95


class Cell(NamedTuple):
    """Design, kind of scatter, share held by the band and by looking point by point."""

    design: str
    scatter: str
    band: float
    by_point: float


def cells(table: str) -> list[Cell]:
    """The rows of a printed table. ValueError where there are none."""
    found = [ROW.match(line) for line in table.splitlines()]
    rows = [Cell(m[1].strip(), m[2], float(m[3]), float(m[4])) for m in found if m]
    if not rows:
        raise ValueError("the table of band coverage holds no rows")
    return rows


def picture(table: str) -> str:
    """The figure as one SVG."""
    rows = cells(table)
    designs = list(dict.fromkeys(row.design for row in rows))
    foot = TOP + PITCH * len(designs) + 8
    words = _sentence(rows)
    marks = [element("rect", {"width": WIDTH, "height": foot + 78, "fill": LIGHT.sheet})]
    marks += _head() + _wanted(foot) + _ruler(foot)
    for place, design in enumerate(designs):
        middle = TOP + PITCH * (place + 0.5)
        marks.append(_text(24, middle + 6, design + ("" if "pairs" in design else " units"), 18))
        marks += [_ring(_across(row.by_point), middle) for row in rows if row.design == design]
        marks += [_lozenge(_across(row.band), middle) for row in rows if row.design == design]
    attributes = {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {WIDTH:.0f} {foot + 78:.0f}",
        "width": WIDTH,
        "height": foot + 78,
        "role": "img",
        "aria-label": words,
        "font-family": UPRIGHT,
    }
    return element("svg", attributes, "".join(marks)) + "\n"


def _sentence(rows: list[Cell]) -> str:
    low, high = min(r.band for r in rows), max(r.band for r in rows)
    worst, best = min(r.by_point for r in rows), max(r.by_point for r in rows)
    return (
        f"Shifts without any difference that were called so: with the band {100 * low:.0f} to"
        f" {100 * high:.0f} percent, looking point by point {100 * worst:.0f} to {100 * best:.0f} percent."
    )


def _across(share: float) -> float:
    return LEFT + share * (WIDTH - LEFT - RIGHT)


def _text(x: float, y: float, words: str, size: int, anchor: str = "start", fill: str = LIGHT.ink) -> str:
    attributes = {"x": x, "y": y, "font-size": size, "text-anchor": anchor, "fill": fill}
    return element("text", attributes, words)


def _head() -> list[str]:
    return [
        _text(24, 36, "Shifts without a true difference that were rightly called so", 22),
        _ring(32, 64),
        _text(46, 70, "looked at point by point", 17, fill=LIGHT.ink2),
        _lozenge(262, 64),
        _text(278, 70, "with the band over the whole curve", 17, fill=LIGHT.ink2),
    ]


def _wanted(foot: float) -> list[str]:
    x = _across(WANTED)
    line = {"x1": x, "x2": x, "y1": TOP - 6, "y2": foot, "stroke": LIGHT.line, "stroke-width": 1}
    return [
        element("line", line),
        _text(x, TOP - 12, "19 in 20: what was asked for", 17, "end", LIGHT.ink2),
    ]


def _ruler(foot: float) -> list[str]:
    """Cells of ink and sheet in turn: the axis needs no other line."""
    whole = {"x": _across(0), "y": foot, "width": _across(1) - _across(0), "height": 9.0}
    marks = []
    for tenth in range(0, 10, 2):
        cell = {**whole, "x": _across(tenth / 10), "width": _across(0.1) - _across(0)}
        marks.append(element("rect", {**cell, "fill": LIGHT.ink}))
    marks.append(element("rect", {**whole, "fill": "none", "stroke": LIGHT.ink, "stroke-width": 1.5}))
    marks += [
        _text(_across(tenth / 10), foot + 29, str(10 * tenth), 17, "middle", LIGHT.ink2)
        for tenth in range(0, 11, 2)
    ]
    return [*marks, _text(_across(1), foot + 54, "percent of simulated shifts", 17, "end", LIGHT.ink2)]


def _ring(x: float, y: float) -> str:
    ring = {"cx": x, "cy": y, "r": 6.0, "fill": LIGHT.sheet, "stroke": LIGHT.ember, "stroke-width": 2.5}
    return element("circle", ring)


def _lozenge(x: float, y: float) -> str:
    corners = f"{x:.1f},{y - 8:.1f} {x + 8:.1f},{y:.1f} {x:.1f},{y + 8:.1f} {x - 8:.1f},{y:.1f}"
    return element("polygon", {"points": corners, "fill": LIGHT.indigo, "stroke": LIGHT.sheet})
