"""One sheet: the sentence, the picture whose frame is its scale, and nothing else."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping

from edgeshift.drawing.blank import draw_blank
from edgeshift.drawing.board import board_height, draw_board
from edgeshift.drawing.header import draw_header
from edgeshift.drawing.intervals import draw_intervals, intervals_height
from edgeshift.drawing.ladder import draw_ladder
from edgeshift.drawing.markers import textures
from edgeshift.drawing.naming import Names, name_figure
from edgeshift.drawing.notes import draw_notes
from edgeshift.drawing.pen import Box, Pen, Sizes
from edgeshift.drawing.plot import draw_plot
from edgeshift.drawing.shelf import draw_shelf, shelf_height
from edgeshift.drawing.svg import element
from edgeshift.drawing.tokens import OPEN, THEMES, UPRIGHT, Looks
from edgeshift.records.figure import Blank, Board, Figure, Intervals, Ladder, Panel, Plot, Shelf
from edgeshift.wording.names import Naming

KEYS_AS_NAMES = Naming()
"""The plainest naming: what has no name of its own is called by its key."""
STAGE = Sizes(sentence=44.0, question=31.0, name=22.0, words=20.0, small=18.0)
LAPTOP = Sizes(sentence=31.0, question=24.0, name=18.0, words=16.0, small=14.0)
PHONE = Sizes(sentence=27.0, question=24.0, name=18.0, words=17.0, small=14.0)
DRAWERS: Mapping[type, Callable[[Pen, Panel, Box], None]] = {
    Plot: draw_plot,
    Ladder: draw_ladder,
    Shelf: draw_shelf,
    Intervals: draw_intervals,
    Board: draw_board,
    Blank: draw_blank,
}


def draw(
    figure: Figure,
    width: int = 1280,
    theme: str = "light",
    naming: Names = KEYS_AS_NAMES,
    looks: Looks = OPEN,
) -> str:
    """`figure` as one SVG, `width` pixels wide: 1280 for a projector, about 900 a laptop, 390 a phone.

    `theme` is "light" or "dark"; `naming` turns name tokens into names, everywhere, the alternative
    text included; `looks` are `tokens.curtain_looks(lot)` behind a drawn curtain.
    """
    named = name_figure(figure, naming)
    sizes = STAGE if width >= 1100 else LAPTOP if width >= 700 else PHONE
    prefix = f"e{zlib.crc32(repr((named.alt, width, theme)).encode()):08x}"
    pen = Pen(THEMES[theme], sizes, looks, prefix)
    margin = 48.0 if width >= 1100 else 32.0 if width >= 700 else 16.0
    sheet = Box(margin, 0.82 * margin, width - 2 * margin, 0.0)
    air = 34.0 if width >= 700 else 22.0
    top = draw_header(pen, named, sheet) + air if named.sentence else sheet.top
    if named.notes:
        top = draw_notes(pen, named.notes, sheet._replace(top=top - 0.4 * air)) + 0.5 * air
    height = _draw_panels(pen, named, Box(margin, top, sheet.width, 0.0)) + 0.6 * margin
    return _sheet(pen, named, width, round(height))


def _draw_panels(pen: Pen, figure: Figure, sheet: Box) -> float:
    """The panels beside one another, or beneath one another on a phone; returns the y beneath."""
    if sheet.width < 600:
        top = sheet.top
        for panel in figure.panels:
            tall = _tall(pen, panel, sheet.width)
            DRAWERS[type(panel)](pen, panel, Box(sheet.left, top, sheet.width, tall))
            top += tall + 30
        return top
    gap = 56 * pen.sizes.scale
    room = sheet.width - gap * (len(figure.panels) - 1)
    whole = sum(panel.share for panel in figure.panels)
    panels = [(panel, room * panel.share / whole) for panel in figure.panels]
    tall = _wide_height(pen, figure, sheet, panels)
    left = sheet.left
    for panel, wide in panels:
        DRAWERS[type(panel)](pen, panel, Box(left, sheet.top, wide, tall))
        left += wide + gap
    return sheet.top + tall


def _wide_height(pen: Pen, figure: Figure, sheet: Box, panels: list[tuple[Panel, float]]) -> float:
    """What is left of a sheet of 16 to 9, or what a strip needs; never less than a picture can use."""
    if figure.flat:
        return max(_tall(pen, panel, sheet.width) for panel in figure.panels)
    full = (sheet.width + 2 * sheet.left) * 9 / 16
    least = [intervals_height(pen, panel, wide) for panel, wide in panels if isinstance(panel, Intervals)]
    if pen.sizes is not STAGE:  # a laptop may scroll, the Stage never does
        least += [shelf_height(pen, panel, wide) for panel, wide in panels if isinstance(panel, Shelf)]
    room = (352 if figure.notes else 392) * pen.sizes.scale  # beneath notes a picture may shrink a little
    return max(full - sheet.top - 0.6 * sheet.left, room, *least)


def _tall(pen: Pen, panel: Panel, width: float) -> float:
    """Height of a panel that stands alone in its line."""
    if isinstance(panel, Board):
        return board_height(pen, panel, width)
    if isinstance(panel, Shelf):
        return shelf_height(pen, panel, width)
    if isinstance(panel, Intervals):
        return intervals_height(pen, panel, width) + 12 * pen.sizes.scale * len(panel.rows)
    more = len(panel.strips) - 2 if isinstance(panel, Plot) else 0
    return 360.0 if isinstance(panel, Blank) else 440.0 + 110.0 * max(0, more)


def _sheet(pen: Pen, figure: Figure, width: int, height: int) -> str:
    """Everything collected, on paper, with the same in words for whoever cannot see it."""
    paper = element("rect", {"width": width, "height": height, "fill": pen.theme.sheet})
    inside = textures(pen) + paper + "".join(pen.marks)
    return element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {width} {height}", "width": width,
            "height": height, "role": "img", "aria-label": figure.alt, "font-family": UPRIGHT,
            "data-kind": figure.kind,
        },
        inside,
    )  # fmt: skip
