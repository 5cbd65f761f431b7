"""What the room expected, in pencil beneath what was measured: without names, order or score."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from edgeshift.figures.ranges import reach
from edgeshift.records.figure import Figure, Ghost, Plot, Strip
from edgeshift.wording import figures as words

MOST_ROOM = 0.5
"""A sketch may widen its strip by this share of what the curves reach over, and is cut beyond that."""
Sketch = Sequence[tuple[float, float]]
"""[(energy in eV, height in the unit of the curve)]"""


def with_ghosts(figure: Figure, sketches: Iterable[Sketch]) -> Figure:
    """`figure` with the sketches in the first strip of its first plot; as it is where it has none.

    They are put in the order of their heights, so that nothing tells who was first.
    """
    found = sorted((_ghost(sketch) for sketch in sketches), key=lambda ghost: (ghost.y, ghost.x))
    ghosts = tuple(ghost for ghost in found if len(ghost.x) > 1)
    place = next((n for n, panel in enumerate(figure.panels) if isinstance(panel, Plot)), None)
    if place is None or not ghosts:
        return figure
    plot = figure.panels[place]
    strips = (_strip(plot.strips[0], ghosts), *plot.strips[1:])
    panels = (*figure.panels[:place], replace(plot, strips=strips), *figure.panels[place + 1 :])
    return replace(figure, panels=panels, alt=words.plain_alt(figure.alt, [words.sketches(len(ghosts))]))


def _ghost(sketch: Sketch) -> Ghost:
    """Points by rising energy, one at each; what is no number is left out."""
    known = {float(x): float(y) for x, y in sketch if math.isfinite(x) and math.isfinite(y)}
    return Ghost(tuple(sorted(known)), tuple(known[x] for x in sorted(known)))


def _strip(strip: Strip, ghosts: tuple[Ghost, ...]) -> Strip:
    span = strip.high - strip.low
    low, high = reach(ghost.y for ghost in ghosts) or (strip.low, strip.high)
    return replace(
        strip,
        low=max(min(strip.low, low - 0.04 * span), strip.low - MOST_ROOM * span),
        high=min(max(strip.high, high + 0.04 * span), strip.high + MOST_ROOM * span),
        marks=(*ghosts, *strip.marks),
    )
