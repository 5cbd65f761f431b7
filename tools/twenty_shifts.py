"""Draw twenty shifts in which nothing was done, and where looking point by point would call a difference.

Used by tools/make_pages.py. Units are drawn as benchmarks/few_units.yaml says: three in each arm, made of
spots and scans, the first twenty shifts of seed 20.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import NamedTuple

import numpy as np
from scipy.special import stdtrit

from edgeshift.drawing.svg import element
from edgeshift.drawing.tokens import LIGHT, UPRIGHT
from edgeshift.questions.real.verdict import curves_between

SHIFTS, DESIGN, SEED, LEVEL = 20, (3, 3), 20, 0.05
WIDTH, LEFT, RIGHT, TOP, PITCH = 900.0, 120.0, 250.0, 96.0, 24.0


class Drawn(NamedTuple):
    """Stretches of one shift (share of the range, low and high) called point by point, and the verdict's."""

    stretches: list[tuple[float, float]]
    verdict: bool


def shifts() -> list[Drawn]:
    """The twenty."""
    sys.path.append(str(Path(__file__).resolve().parents[1] / "benchmarks"))
    from _unit_curves import Cell, World

    world, rng = World(Cell("scans first", "constant")), np.random.default_rng(SEED)
    found = []
    for _ in range(SHIFTS):
        control, treated = world.draw(rng, DESIGN)
        error = np.sqrt((control.var(axis=0, ddof=1) + treated.var(axis=0, ddof=1)) / DESIGN[0])
        t = np.abs(treated.mean(axis=0) - control.mean(axis=0)) / error
        called = t > stdtrit(sum(DESIGN) - 2, 1 - LEVEL / 2)
        verdict = curves_between(world.energy, control, treated, False).chance <= LEVEL
        found.append(Drawn(stretches(called), verdict))
    return found


def stretches(called: np.ndarray) -> list[tuple[float, float]]:
    """Runs of True as (low, high) shares of the range."""
    edges = np.flatnonzero(np.diff(np.r_[0, called.astype(int), 0]))
    return [tuple(each / called.size) for each in edges.reshape(-1, 2)]


def picture() -> str:
    """The figure as one SVG."""
    every = shifts()
    height = TOP + PITCH * SHIFTS + 70
    words = _sentence(every)
    marks = [element("rect", {"width": WIDTH, "height": height, "fill": LIGHT.sheet}), *_head()]
    for row, shift in enumerate(every):
        marks += _row(TOP + PITCH * (row + 0.5), row + 1, shift)
    marks.append(_text(LEFT, height - 40, "lowest energy", 16, fill=LIGHT.ink2))
    marks.append(_text(WIDTH - RIGHT, height - 40, "highest", 16, "end", LIGHT.ink2))
    marks.append(_text(24, height - 14, words, 17))
    attributes = {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {WIDTH:.0f} {height:.0f}",
        "width": WIDTH,
        "height": height,
        "role": "img",
        "aria-label": words,
        "font-family": UPRIGHT,
    }
    return element("svg", attributes, "".join(marks)) + "\n"


def _sentence(every: list[Drawn]) -> str:
    by_point, by_verdict = sum(bool(s.stretches) for s in every), sum(s.verdict for s in every)
    found = f"Something is found in {by_point} of {SHIFTS} shifts point by point"
    return f"{found}, by the verdict in {by_verdict}."


def _head() -> list[str]:
    return [
        _text(24, 36, "Twenty shifts in which nothing was done", 22),
        _stretch(24, 62, 60),
        _text(68, 68, "called different, point by point", 17, fill=LIGHT.ink2),
        _text(WIDTH - RIGHT + 20, 68, "the verdict on the whole curve", 17, fill=LIGHT.ink2),
    ]


def _row(middle: float, number: int, shift: Drawn) -> list[str]:
    line = {"x1": LEFT, "x2": WIDTH - RIGHT, "y1": middle, "y2": middle}
    marks = [
        _text(LEFT - 14, middle + 6, str(number), 16, "end", LIGHT.ink2),
        element("line", {**line, "stroke": LIGHT.line, "stroke-width": 1}),
    ]
    marks += [_stretch(_across(low), middle, _across(high)) for low, high in shift.stretches]
    told = "different" if shift.verdict else "nothing shown"
    if shift.verdict:
        marks.append(_lozenge(WIDTH - RIGHT + 28, middle))
    x = WIDTH - RIGHT + (44 if shift.verdict else 20)
    return [*marks, _text(x, middle + 6, told, 16, fill=LIGHT.ink if shift.verdict else LIGHT.ink2)]


def _lozenge(x: float, y: float) -> str:
    corners = f"{x:.1f},{y - 8:.1f} {x + 8:.1f},{y:.1f} {x:.1f},{y + 8:.1f} {x - 8:.1f},{y:.1f}"
    return element("polygon", {"points": corners, "fill": LIGHT.indigo, "stroke": LIGHT.sheet})


def _across(share: float) -> float:
    return LEFT + share * (WIDTH - LEFT - RIGHT)


def _stretch(low: float, middle: float, high: float) -> str:
    box = {"x": low, "y": middle - 6, "width": max(high - low, 3.0), "height": 12.0, "fill": LIGHT.ember}
    return element("rect", box)


def _text(x: float, y: float, words: str, size: int, anchor: str = "start", fill: str = LIGHT.ink) -> str:
    attributes = {"x": x, "y": y, "font-size": size, "text-anchor": anchor, "fill": fill}
    return element("text", attributes, words)
