"""What the shelf says beneath its planks, and what it owns up to have left out."""

from __future__ import annotations

import re

from edgeshift.drawing.page import LAPTOP, STAGE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shelf import draw_shelf
from edgeshift.drawing.tokens import DARK, LIGHT
from edgeshift.records.figure import Shelf, ShelfReason, ShelfRow, Tick


def names(count: int) -> tuple[str, ...]:
    return tuple(f"shift_{number:04d}.dat" for number in range(1, count + 1))


def row(count: int, reasons: int, each: int = 2, edge: str = "Al K") -> ShelfRow:
    ticks = tuple(Tick(name, "set-aside") for name in names(count))
    told = tuple(ShelfReason(f"cause {n}", "set-aside", names(each)) for n in range(1, reasons + 1))
    return ShelfRow(edge, ticks, "none kept", told)


def texts(shelf: Shelf, tall: float, width: float = 1184.0, sizes=STAGE) -> list[str]:
    pen = Pen(LIGHT, sizes)
    draw_shelf(pen, shelf, Box(0.0, 0.0, width, tall))
    return re.findall(r"<text[^>]*>([^<]*)</text>", "".join(pen.marks))


def test_a_reason_stands_with_its_scans_by_what_tells_them_apart():
    assert "cause 1: 0001, 0002" in texts(Shelf((row(9, 1),)), 400.0)


def test_scans_without_room_are_counted_and_none_is_lost():
    (told,) = [text for text in texts(Shelf((row(60, 1, 60),)), 400.0) if text.startswith("cause")]
    shown, more = told.split(" and ")
    assert len(shown.split(", ")) + int(more.removesuffix(" more")) == 60


def test_reasons_without_a_line_are_counted_and_none_is_lost():
    told = [text for text in texts(Shelf((row(9, 12),)), 150.0) if text.startswith("cause")]
    more = int(re.search(r"and (\d+) more reasons?$", told[-1])[1])
    assert len(told) + more == 12 and more > 0


def test_reasons_stand_beside_one_another_only_where_height_is_short():
    crowded = [row(9, 6, edge=edge) for edge in ("Al K", "Fe L")]
    assert sum(text.startswith("cause") for text in texts(Shelf(tuple(crowded)), 260.0)) == 12


def test_lines_are_dealt_so_that_no_edge_goes_without_before_another_has_two():
    rows = (row(9, 9), row(9, 1, edge="Fe L"))
    pen = Pen(DARK, LAPTOP)
    draw_shelf(pen, Shelf(rows), Box(0.0, 0.0, 836.0, 150.0))
    assert "".join(pen.marks).count(">cause 1: ") == 2


def test_names_that_share_no_whole_words_stay_whole():
    ticks = (Tick("a17", "set-aside"), Tick("a18", "set-aside"))
    reason = ShelfReason("why", "set-aside", ("a17", "a18"))
    assert "why: a17, a18" in texts(Shelf((ShelfRow("K L", ticks, "none kept", (reason,)),)), 200.0)


def test_a_scan_kept_with_a_note_has_a_dot_that_is_seen_in_grey():
    pen = Pen(LIGHT, STAGE)
    ticks = (Tick("a", "keep"), Tick("b", "keep-with-a-note"))
    draw_shelf(pen, Shelf((ShelfRow("K L", ticks, "2 kept"),)), Box(0.0, 0.0, 1184.0, 200.0))
    assert "".join(pen.marks).count(f'fill="{LIGHT.ink}"/></g>') == 1
