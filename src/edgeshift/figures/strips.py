"""Fewer strips for a room: read from afar, curves and one difference are enough."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from edgeshift.records.figure import Beyond, Figure, Panel, Plot, Strip


def two_strips(figure: Figure) -> Figure:
    """`figure` with no more than the curves and their difference in each plot.

    A strip beneath stays only where its band leaves zero and that of the difference does not: then it is what
    the answer rests on. The words of a strip that is gone go with it; tables still tell of all of them.
    """
    panels, alt = tuple(_panel(panel) for panel in figure.panels), figure.alt
    for told in {*_told(figure.panels)} - {*_told(panels)}:
        alt = alt.replace(f"; {told}", "")
    return replace(figure, panels=panels, alt=alt)


def _told(panels: Iterable[Panel]) -> Iterator[str]:
    """What the alternative text says of single strips."""
    return (strip.told for panel in panels if isinstance(panel, Plot) for strip in panel.strips if strip.told)


def _panel(panel: Panel) -> Panel:
    if not isinstance(panel, Plot) or len(panel.strips) < 3:
        return panel
    curves, difference, *beneath = panel.strips
    needed = [strip for strip in beneath if _leaves_zero(strip)] if not _leaves_zero(difference) else []
    return replace(panel, strips=(curves, difference, *needed))


def _leaves_zero(strip: Strip) -> bool:
    return any(isinstance(mark, Beyond) for mark in strip.marks)
