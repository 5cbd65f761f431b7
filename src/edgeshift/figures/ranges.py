"""How far scales reach, and what may stand for a vertical axis."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from edgeshift.records.figure import Band, Line, Mark, Numbers, ScaleBar
from edgeshift.wording.figures import printed

LEAST_STRIP = 0.3
"""The difference gets at least this share of what the curves above it reach over; so does the shape."""
MOST_BAND = 0.3
"""Its band is drawn this far beyond its line, as a share of the same; then the label says it goes on."""
_STEP_BARS = {1.0: "one edge step", 0.5: "half an edge step", 0.1: "a tenth of an edge step"}
_UNIT_WORDS = {
    "step": "of an edge step",
    "ratio": "of signal ÷\u00a0beam",
    "area": "of the mean height",
    "raw": "as read",
}


def floats(values: Sequence[float | None]) -> Numbers:
    """The list as floats; what is missing becomes NaN, which breaks a line."""
    return tuple(math.nan if value is None else float(value) for value in values)


def reach(curves: Iterable[Numbers]) -> tuple[float, float] | None:
    """Lowest and highest finite value of all curves; None where there is none."""
    finite = [value for curve in curves for value in curve if math.isfinite(value)]
    return (min(finite), max(finite)) if finite else None


def marks_reach(marks: Iterable[Mark]) -> tuple[float, float]:
    """Lowest and highest value of all bands and lines; nought to one where there is none."""
    curves: list[Numbers] = []
    for mark in marks:
        curves += [mark.low, mark.high] if isinstance(mark, Band) else []
        curves += [mark.y] if isinstance(mark, Line) else []
    return reach(curves) or (0.0, 1.0)


def band_held(marks: Sequence[Mark], most: float) -> tuple[float, float]:
    """What lines and bands reach over, but bands no further than `most` beyond the lines.

    A band that says "almost anything" must not press the curves flat; the picture then says it goes on.
    """
    low, high = marks_reach(marks)
    lines = marks_reach([mark for mark in marks if isinstance(mark, Line)])
    return max(low, lines[0] - most), min(high, lines[1] + most)


def upper_reach(marks: Sequence[Mark]) -> tuple[float, float]:
    """What the strip of the curves reaches over: bands no further beyond them than the curves are tall."""
    lowest, highest = marks_reach([mark for mark in marks if isinstance(mark, Line)])
    return band_held(marks, highest - lowest)


def lower_reach(marks: Sequence[Mark], above: float) -> tuple[float, float]:
    """What a strip of a difference reaches over beneath curves that reach over `above`; zero is in it."""
    low, high = band_held(marks, MOST_BAND * above)
    return at_least(*padded(min(low, 0.0), max(high, 0.0), 0.12), LEAST_STRIP * above)


def padded(low: float, high: float, share: float) -> tuple[float, float]:
    """The stretch with `share` of it added at both ends; never of no length."""
    span = (high - low) or abs(high) or 1.0
    return low - share * span, high + share * span


def snapped(low: float, high: float) -> tuple[float, float]:
    """The stretch widened to round ends: multiples of 1, 2 or 5 of a tenth of it."""
    rough = (high - low) / 10
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(size * power for size in (1.0, 2.0, 5.0, 10.0) if size * power >= rough)
    return math.floor(low / step) * step, math.ceil(high / step) * step


def at_least(low: float, high: float, span: float) -> tuple[float, float]:
    """The stretch, widened evenly where it is shorter than `span`."""
    missing = max(0.0, span - (high - low)) / 2
    return low - missing, high + missing


def scale_bar(unit: str, span: float) -> ScaleBar:
    """One edge step where it fits in `span`; else the largest 1, 2 or 5 that does."""
    for height, words in _STEP_BARS.items() if unit == "step" else ():
        if 0.12 * span <= height <= 1.02 * span:
            return ScaleBar(height, words, unit)
    power = 10.0 ** math.floor(math.log10(span / 2))
    height = max(step * power for step in (1.0, 2.0, 5.0) if step * power <= span / 2)
    if unit == "step" and height > 1:
        return ScaleBar(height, f"{_plain(height)} edge steps", unit)
    return ScaleBar(height, f"{_plain(height)} {_UNIT_WORDS.get(unit, unit)}", unit)


def _plain(height: float) -> str:
    """A round number as people write it, very small and very large ones with their power of ten."""
    power = math.floor(math.log10(height) + 1e-9)
    if -4 < power < 6:
        return f"{height:g}"
    return printed(f"{height / 10.0**power:.0f}e{power}")
