"""Bands first, then lines: curves from the units of the measurement into pixels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from edgeshift.drawing.markers import marker, texture_id
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.svg import closed, polygon, polyline
from edgeshift.drawing.tokens import blend
from edgeshift.records.figure import Band, Beyond, Ghost, Line, Numbers, Ruler


@dataclass(frozen=True)
class Frame:
    """One strip on the sheet: `ruler` across `box`, `low` to `high` up it.

    Bands are cut at the strip's ends, and `ceiling` pixels beneath its upper one, where words need room.
    """

    box: Box
    ruler: Ruler
    low: float
    high: float
    ceiling: float = 0.0

    def across(self, x: np.ndarray | float) -> np.ndarray | float:
        """Pixels from the left of the sheet for a value on the ruler."""
        return self.box.left + (x - self.ruler.low) / (self.ruler.high - self.ruler.low) * self.box.width

    def down(self, y: np.ndarray | float) -> np.ndarray | float:
        """Pixels from the top of the sheet for a value on the strip."""
        return self.box.bottom - (y - self.low) / (self.high - self.low) * self.box.height

    def cut(self, down: np.ndarray) -> np.ndarray:
        """Pixels held inside the strip."""
        return np.clip(down, self.box.top + self.ceiling, self.box.bottom)

    def edge(self, down: np.ndarray) -> np.ndarray:
        """Pixels of a band's edge; NaN where the band goes on beyond the strip, so that no edge is drawn."""
        return np.where(self.cut(down) == down, down, np.nan)


def array(values: Numbers) -> np.ndarray:
    """(points,) floats."""
    return np.asarray(values, dtype=float)


def thin(x: np.ndarray, edges: tuple[np.ndarray, ...], most: int = 600) -> np.ndarray:
    """Indices that keep the picture: in each pixel column the first point and every extreme.

    `edges` are the curves over `x` (points,); below `most` points everything is kept.
    """
    if x.size <= most:
        return np.arange(x.size)
    kept = []
    for chunk in np.array_split(np.arange(x.size), most // (2 * len(edges) + 1)):
        picks = {int(chunk[0])}
        for edge in edges:
            filled = np.where(np.isfinite(edge[chunk]), edge[chunk], 0.0)
            picks |= {int(chunk[filled.argmin()]), int(chunk[filled.argmax()])}
        kept.extend(sorted(picks))
    return np.array(kept)


def draw_band(pen: Pen, frame: Frame, band: Band) -> None:
    """The opaque tint, its texture, and its edge of one pixel; open where the strip cuts it."""
    x, upper, lower = (array(v) for v in (band.x, band.high, band.low))
    kept = thin(x, (upper, lower))
    across, high, low = frame.across(x[kept]), frame.down(upper[kept]), frame.down(lower[kept])
    edges = [polyline(across, frame.edge(down)) for down in (high, low)]
    whole = all(edge.count("L") == across.size - 1 for edge in edges)  # then they bound the tint as they are
    path = closed(*edges) if whole else polygon(across, frame.cut(high), frame.cut(low))
    look = pen.look(band.role)
    pen.add("path", d=path, fill=pen.colour(look.tint))
    pattern = texture_id(pen, look)
    if pattern:
        pen.add("path", d=path, fill=f"url(#{pattern})")
    pen.stroke("".join(edges), "line", 0.9, stroke_linejoin="round")


def draw_overlap(pen: Pen, frame: Frame, first: Band, second: Band) -> None:
    """Where two tints share the sheet: their colours blended, drawn as a shape of its own.

    A blended fill instead of a blend mode looks the same in every viewer and under strict content rules.
    """
    x = array(first.x)
    upper = np.minimum(array(first.high), np.interp(x, array(second.x), array(second.high)))
    lower = np.maximum(array(first.low), np.interp(x, array(second.x), array(second.low)))
    upper = np.where(upper > lower, upper, np.nan)
    path = polygon(frame.across(x), frame.cut(frame.down(upper)), frame.cut(frame.down(lower)))
    tints = (pen.colour(pen.look(band.role).tint) for band in (first, second))
    if path:
        pen.add("path", d=path, fill=blend(*tints, pen.theme.dark))


def draw_beyond(pen: Pen, frame: Frame, beyond: Beyond) -> None:
    """A small lit bar on the zero line for each stretch where the band leaves it.

    Told by its thickness and outline, not by its colour; what would touch its neighbour becomes one bar.
    """
    scale, middle = pen.sizes.scale, float(frame.down(0.0))
    least, tall = 7 * scale, 9 * scale
    bars: list[list[float]] = []
    for stretch in beyond.stretches:
        first, last = (float(frame.across(at)) for at in (stretch[0], stretch[-1]))
        missing = max(0.0, least - (last - first)) / 2
        if bars and first - missing - bars[-1][1] < 4 * scale:
            bars[-1][1] = last + missing
        else:
            bars.append([first - missing, last + missing])
    for left, right in bars:
        box = Box(left, middle - tall / 2, right - left, tall)
        pen.block(box, "straw", 1.8 * scale, radius=2.0)


def draw_ghosts(pen: Pen, frame: Frame, ghosts: list[Ghost]) -> None:
    """Pencil in two strokes, all of them in one group that a page may let fade in; cut at the strip."""
    if not ghosts:
        return
    with pen.group(data_ghosts=len(ghosts), fill="none", stroke_linecap="round", stroke_linejoin="round"):
        for ghost in ghosts:
            x, y = frame.across(array(ghost.x)), frame.down(array(ghost.y))
            inside = (x >= frame.box.left) & (x <= frame.box.right)
            path = polyline(x, np.where(inside, frame.edge(y), np.nan))
            for width, opacity in ((5.0, "0.26"), (1.8, "0.88")):
                pen.add("path", d=path, stroke=pen.theme.pencil, stroke_width=width * pen.sizes.scale,
                        stroke_opacity=opacity)  # fmt: skip


def draw_line(pen: Pen, frame: Frame, line: Line, width: float, told: str) -> None:
    """The line in its dash, carrying its numbers for pointing at, and what they are (`told`)."""
    x, y = array(line.x), array(line.y)
    kept = thin(x, (y,))
    look = pen.look(line.role)
    pen.stroke(
        polyline(frame.across(x[kept]), frame.down(y[kept])), look.stroke, width,
        stroke_linejoin="round", stroke_dasharray=look.dash, data_name=told or None,
        data_x=_numbers(tuple(x[kept].tolist())), data_y=_numbers(tuple(y[kept].tolist())),
    )  # fmt: skip


@lru_cache(maxsize=64)
def _numbers(values: Numbers) -> str:
    """Numbers for a pointer, with six digits: finer than any band. Lines of one plot share their `x`."""
    return " ".join([f"{value:.6g}" for value in values])


def draw_markers(pen: Pen, frame: Frame, line: Line, turn: float) -> None:
    """The role's marker every sixth of the width; `turn` (0..1) keeps two arms from meeting."""
    x, y = array(line.x), array(line.y)
    places = x[0] + (x[-1] - x[0]) * (np.arange(6) + 0.15 + 0.7 * turn) / 6
    for place in places:
        nearest = int(np.abs(x - place).argmin())
        if np.isfinite(y[nearest]):
            at = (float(frame.across(x[nearest])), float(frame.down(y[nearest])))
            marker(pen, line.role, at, 6.6 * pen.sizes.scale)
