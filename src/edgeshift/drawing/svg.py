"""A tiny writer of SVG elements: every attribute and every word is escaped here and nowhere else."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from html import escape

import numpy as np

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 cannot hold, escaped or not (section 2.2 of the standard)."""
_UNCLEAN = re.compile("[^\t\n\r !#-%(-;=?-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""The same, and the five that mean something in markup."""


def clean(text: str) -> str:
    """`text` made harmless inside an element or an attribute."""
    if not _UNCLEAN.search(text):  # most attributes are long rows of numbers
        return text
    return escape(_NOT_XML.sub("\ufffd", text), quote=True)


def number(value: float) -> str:
    """A coordinate with at most one decimal: a tenth of a pixel is finer than any screen shows."""
    text = f"{value:.1f}"
    return text[:-2] if text.endswith(".0") else text


def element(tag: str, attributes: Mapping[str, object], inside: str = "") -> str:
    """One element; floats become coordinates, None leaves the attribute out. `inside` is markup."""
    parts = [tag]
    for name, value in attributes.items():
        if value is None:
            continue
        shown = number(value) if isinstance(value, float) else clean(str(value))
        parts.append(f'{name}="{shown}"')
    head = " ".join(parts)
    return f"<{head}>{inside}</{tag}>" if inside else f"<{head}/>"


def polyline(x: np.ndarray, y: np.ndarray) -> str:
    """Path data through the points (pixels); a NaN lifts the pen."""
    pairs = np.round(np.column_stack((x, y)), 1)
    whole = np.isfinite(pairs).all(axis=1)
    pieces = ["M" + "".join([f"{a} {b}L" for a, b in pairs[i:j].tolist()]) for i, j in _runs(whole)]
    return "".join([piece.replace(".0 ", " ").replace(".0L", "L")[:-1] for piece in pieces])


def polygon(x: np.ndarray, upper: np.ndarray, lower: np.ndarray) -> str:
    """Closed path data between two edges over the same `x` (pixels); NaN starts a new piece."""
    whole = np.isfinite(x) & np.isfinite(upper) & np.isfinite(lower)
    pieces = []
    for start, stop in _runs(whole):
        if stop - start < 2:
            continue
        part = x[start:stop]
        pieces.append(closed(polyline(part, upper[start:stop]), polyline(part, lower[start:stop])))
    return "".join(pieces)


def closed(upper: str, lower: str) -> str:
    """Closed path data from the path data of two unbroken edges over the same points: there and back."""
    return f"{upper}L{'L'.join(reversed(lower[1:].split('L')))}Z"


def _runs(true: np.ndarray) -> Iterable[tuple[int, int]]:
    """Start and stop of every unbroken run of True."""
    steps = np.diff(np.concatenate(([0], true.astype(np.int8), [0])))
    return zip(np.flatnonzero(steps == 1).tolist(), np.flatnonzero(steps == -1).tolist(), strict=True)
