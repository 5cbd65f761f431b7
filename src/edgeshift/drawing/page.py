"""One sheet: the sentence, the picture whose frame is its scale, and nothing else."""

from __future__ import annotations

import math
import zlib
from collections.abc import Callable, Mapping

from edgeshift.drawing.bench import bench_height, draw_bench
from edgeshift.drawing.blank import draw_blank
from edgeshift.drawing.board import board_height, draw_board
from edgeshift.drawing.cards import cards_height, draw_cards
from edgeshift.drawing.day_line import LANES_FROM, draw_day_line
from edgeshift.drawing.fan import draw_fan
from edgeshift.drawing.fans import draw_fans, fans_height, fans_least
from edgeshift.drawing.fields import draw_field
from edgeshift.drawing.header import draw_header
from edgeshift.drawing.intervals import draw_intervals, intervals_height
from edgeshift.drawing.ladder import draw_ladder
from edgeshift.drawing.lineup import draw_lineup, lineup_height
from edgeshift.drawing.markers import textures
from edgeshift.drawing.muster import draw_muster, muster_height
from edgeshift.drawing.naming import Names, name_figure
from edgeshift.drawing.notes import draw_notes
from edgeshift.drawing.pen import Box, Pen, Sizes
from edgeshift.drawing.plot import draw_plot
from edgeshift.drawing.rulers import BESIDE
from edgeshift.drawing.shelf import draw_shelf, shelf_height
from edgeshift.drawing.svg import element
from edgeshift.drawing.tokens import OPEN, THEMES, UPRIGHT, Looks, by_place
from edgeshift.records.figure import (
    Bench,
    Blank,
    Board,
    Cards,
    DayLine,
    Fan,
    Fans,
    Field,
    Figure,
    Intervals,
    Ladder,
    LineUp,
    Muster,
    Panel,
    Plot,
    Shelf,
)
from edgeshift.wording.names import Naming

KEYS_AS_NAMES = Naming()
"""The plainest naming: what has no name of its own is called by its key."""
STAGE = Sizes(sentence=44.0, question=31.0, name=22.0, words=20.0, small=18.0)
LAPTOP = Sizes(sentence=31.0, question=24.0, name=18.0, words=16.0, small=14.0)
PHONE = Sizes(sentence=27.0, question=24.0, name=18.0, words=17.0, small=14.0)
STAGE_LEAST, BENEATH_NOTES, LEAST_SHARE = 392.0, 352.0, 0.8
"""The least height of curves on the Stage, there beneath notes, and of what stands beneath one another
against its best."""
AIR = 34.0
"""Pixels on the Stage between words and the picture beneath them."""
SQUEEZED = 0.94
"""Rows of causes bear to stand so much closer than they like: bars come nearer, words do not touch."""
BENEATH = 30.0
"""Pixels between panels that stand beneath one another."""
NARROW = 600.0
"""Below this many pixels panels stand beneath one another."""
DRAWERS: Mapping[type, Callable[[Pen, Panel, Box], None]] = {
    Plot: draw_plot,
    Ladder: draw_ladder,
    Shelf: draw_shelf,
    Intervals: draw_intervals,
    Fans: draw_fans,
    Field: draw_field,
    Board: draw_board,
    DayLine: draw_day_line,
    Muster: draw_muster,
    LineUp: draw_lineup,
    Fan: draw_fan,
    Cards: draw_cards,
    Bench: draw_bench,
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
    pen = _pen(named, sizes, theme, looks, width)
    margin = 48.0 if width >= 1100 else 32.0 if width >= 700 else 16.0
    sheet = Box(margin, 0.82 * margin, width - 2 * margin, 0.0)
    air = AIR if width >= 700 else 22.0
    top = draw_header(pen, named, sheet) + air if named.sentence else sheet.top
    if named.notes:
        top = draw_notes(pen, named.notes, sheet._replace(top=top - 0.4 * air)) + 0.5 * air
    height = _draw_panels(pen, named, Box(margin, top, sheet.width, 0.0)) + 0.6 * margin
    return _sheet(pen, named, width, round(height))


def picture(
    figure: Figure,
    width: int = 1184,
    height: int = 392,
    theme: str = "light",
    naming: Names = KEYS_AS_NAMES,
    looks: Looks = OPEN,
) -> str:
    """The panels of `figure` alone in `width` x `height` pixels: a page sets sentence and question.

    1184 x 392 is the Stage's own place. On a narrow sheet the panels stand beneath one another, and
    `picture_height` says how high that is at its best; where words would lie on one another the picture is
    higher than asked for. A day line (1280 x 92 on the Stage) runs from edge to edge.
    """
    named = name_figure(figure, naming)
    if figure.kind == "day":
        pen = _pen(named, _day_sizes(width, height), theme, looks, width, height)
        _lay_out(pen, named, Box(0.0, 0.0, width, height))
        return _sheet(pen, named, width, height)
    pen = _pen(named, _sizes_in(width, height), theme, looks, width, height)
    tall = max(height, math.ceil(_least(pen, named, width) + _notes_height(pen, named, width)))
    box = _inside(pen, width, tall)
    if named.notes:
        draw_notes(pen, named.notes, box)
        noted = _notes_height(pen, named, width)
        box = Box(box.left, box.top + noted, box.width, box.height - noted)
    _lay_out(pen, named, box)
    return _sheet(pen, named, width, tall)


def picture_height(figure: Figure, width: int) -> int:
    """The height at which `picture` has room for everything, in pixels."""
    pen = Pen(THEMES["light"], _sizes_in(width, 392))
    room = _inside(pen, width, 0).width
    if width >= NARROW:
        tall = max(_tall(pen, panel, room) for panel in figure.panels)
        return round(tall if figure.flat else max(tall, STAGE_LEAST * pen.sizes.scale)) + 8
    beneath = BENEATH * (len(figure.panels) - 1)
    return round(sum(_tall(pen, panel, room) for panel in figure.panels) + beneath) + 8


def _notes_height(pen: Pen, figure: Figure, width: int) -> float:
    """Pixels that notes need above the panels, measured with a pen whose drawing is thrown away."""
    if not figure.notes:
        return 0.0
    box = _inside(pen, width, 0)
    beneath = draw_notes(Pen(pen.theme, pen.sizes), figure.notes, box)
    return beneath - box.top + 0.5 * AIR * pen.sizes.scale


def _least(pen: Pen, figure: Figure, width: int) -> float:
    """Pixels below which words would lie on one another."""
    if width < NARROW:
        firm = any(isinstance(panel, Cards | Bench) for panel in figure.panels)
        return (1.0 if firm else LEAST_SHARE) * picture_height(figure, width)
    room = _inside(pen, width, 0).width
    firm = [_firm(pen, panel, wide) + 8 for panel, wide in _widths(pen, figure, room)]
    words = all(
        isinstance(panel, Blank | Board | Intervals | Shelf | Cards | Bench) for panel in figure.panels
    )
    return max([*firm, STAGE_LEAST * pen.sizes.scale * (0.6 if words else 1.0)])


def _firm(pen: Pen, panel: Panel, wide: float) -> float:
    """Pixels of rows that do not come nearer to one another."""
    if isinstance(panel, Board):
        return board_height(pen, panel, wide)
    if isinstance(panel, Muster):
        return muster_height(pen, panel, wide)
    if isinstance(panel, Cards):
        return cards_height(pen, panel, wide)
    if isinstance(panel, Bench):
        return bench_height(pen, panel, wide)
    if isinstance(panel, Fans):
        return fans_least(pen, panel)
    if isinstance(panel, Intervals):
        return SQUEEZED * intervals_height(pen, panel, wide)
    return 0.0


def _sizes_in(width: int, height: int) -> Sizes:
    """Type by what the place can hold: low pictures get smaller type than their width alone would."""
    if width >= 1100 and height >= STAGE_LEAST:
        return STAGE
    return LAPTOP if width >= NARROW else PHONE


def _day_sizes(width: int, height: int) -> Sizes:
    """A day line with lanes stands before its reader, one without is read from afar."""
    return PHONE if width < NARROW else LAPTOP if width < 1100 or height >= LANES_FROM else STAGE


def _inside(pen: Pen, width: int, height: int) -> Box:
    """Room at the ends of rulers for half a number, and above and beneath for a stroke."""
    beside = BESIDE * pen.sizes.small
    return Box(beside, 4.0, width - 2 * beside, height - 8.0)


def _pen(figure: Figure, sizes: Sizes, theme: str, looks: Looks, *size: int) -> Pen:
    """A pen whose ids no other picture on the page has. Only here do the roles stand for arms."""
    prefix = f"e{zlib.crc32(repr((figure.alt, *size, theme)).encode()):08x}"
    return Pen(THEMES[theme], sizes, looks if figure.kind in ("real", "day") else by_place(looks), prefix)


def _draw_panels(pen: Pen, figure: Figure, sheet: Box) -> float:
    """The panels in a box as high as they want; returns the y beneath."""
    if sheet.width < NARROW:
        tall = sum(_tall(pen, panel, sheet.width) for panel in figure.panels)
        _lay_out(pen, figure, sheet._replace(height=tall + BENEATH * (len(figure.panels) - 1)))
        return sheet.top + tall + BENEATH * len(figure.panels)
    tall = _wide_height(pen, figure, sheet)
    _lay_out(pen, figure, sheet._replace(height=tall))
    return sheet.top + tall


def _lay_out(pen: Pen, figure: Figure, box: Box) -> None:
    """The panels fill `box`: beside one another by their shares, on a narrow sheet beneath one another."""
    if box.width >= NARROW:
        left = box.left
        for panel, wide in _widths(pen, figure, box.width):
            DRAWERS[type(panel)](pen, panel, Box(left, box.top, wide, box.height))
            left += wide + _gap(pen)
        return
    wanted = [_tall(pen, panel, box.width) for panel in figure.panels]
    room, top = box.height - BENEATH * (len(wanted) - 1), box.top
    for panel, want in zip(figure.panels, wanted, strict=True):
        tall = room * want / sum(wanted)
        DRAWERS[type(panel)](pen, panel, Box(box.left, top, box.width, tall))
        top += tall + BENEATH


def _widths(pen: Pen, figure: Figure, width: float) -> list[tuple[Panel, float]]:
    """Each panel with its share of the width."""
    room = width - _gap(pen) * (len(figure.panels) - 1)
    whole = sum(panel.share for panel in figure.panels)
    return [(panel, room * panel.share / whole) for panel in figure.panels]


def _gap(pen: Pen) -> float:
    """Pixels between panels beside one another."""
    return 56 * pen.sizes.scale


def _wide_height(pen: Pen, figure: Figure, sheet: Box) -> float:
    """What is left of a sheet of 16 to 9, or what a strip needs; never less than a picture can use."""
    if figure.flat:
        return max(_tall(pen, panel, sheet.width) for panel in figure.panels)
    full = (sheet.width + 2 * sheet.left) * 9 / 16
    widths = _widths(pen, figure, sheet.width)
    least = [intervals_height(pen, panel, wide) for panel, wide in widths if isinstance(panel, Intervals)]
    least += [bench_height(pen, panel, wide) for panel, wide in widths if isinstance(panel, Bench)]
    if pen.sizes is not STAGE:  # a laptop may scroll, the Stage never does
        least += [shelf_height(pen, panel, wide) for panel, wide in widths if isinstance(panel, Shelf)]
    # beneath notes a picture may shrink a little
    room = (BENEATH_NOTES if figure.notes else STAGE_LEAST) * pen.sizes.scale
    return max(full - sheet.top - 0.6 * sheet.left, room, *least)


def _tall(pen: Pen, panel: Panel, width: float) -> float:
    """Height of a panel that stands alone in its line."""
    if isinstance(panel, Board):
        return board_height(pen, panel, width)
    if isinstance(panel, Shelf):
        return shelf_height(pen, panel, width)
    if isinstance(panel, Fans):
        return fans_height(pen, panel)
    if isinstance(panel, Muster):
        return muster_height(pen, panel, width)
    if isinstance(panel, LineUp):
        return lineup_height(pen, panel, width)
    if isinstance(panel, Intervals):
        return intervals_height(pen, panel, width) + 12 * pen.sizes.scale * len(panel.rows)
    if isinstance(panel, Cards):
        return cards_height(pen, panel, width)
    if isinstance(panel, Bench):
        return bench_height(pen, panel, width)
    more = len(panel.strips) - 2 if isinstance(panel, Plot) else 0
    return 360.0 if isinstance(panel, Blank) else 440.0 + 110.0 * max(0, more)


def _sheet(pen: Pen, figure: Figure, width: int, height: int) -> str:
    """Everything collected, on paper, with the same in words for whoever cannot see it."""
    paper = element("rect", {"width": width, "height": height, "fill": pen.theme.sheet})
    role = "group" if figure.kind == "day" else "img"  # the places on a day line can be pressed
    inside = textures(pen) + paper + "".join(pen.marks)
    return element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {width} {height}", "width": width,
            "height": height, "role": role, "aria-label": figure.alt, "font-family": UPRIGHT,
            "data-kind": figure.kind,
        },
        inside,
    )  # fmt: skip
