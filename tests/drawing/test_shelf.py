"""What the shelf says beneath its planks, and what it owns up to have left out."""

from __future__ import annotations

import itertools
import re

import pytest

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


def placed(shelf: Shelf, tall: float) -> list[tuple[float, float, str]]:
    """Left end, baseline and words of every text."""
    pen = Pen(LIGHT, STAGE)
    draw_shelf(pen, shelf, Box(0.0, 0.0, 1184.0, tall))
    found = re.findall(r'<text x="([0-9.]+)" y="([0-9.]+)"[^>]*>([^<]*)</text>', "".join(pen.marks))
    return [(float(x), float(y), words) for x, y, words in found]


def test_where_it_is_tight_reasons_stand_beside_short_planks():
    shelf = Shelf(tuple(row(2, 1, edge=f"edge {n}") for n in range(1, 10)))
    assert sum("cause 1: 0001, 0002" in words for words in texts(shelf, 9 * 54.0)) == 9
    at = {words: (x, y) for x, y, words in placed(Shelf(shelf.rows[:1]), 54.0)}
    beside, name = at["cause 1: 0001, 0002"], at["edge 1"]
    assert beside[0] > 190 and beside[1] == pytest.approx(name[1], abs=1.0)


def test_reasons_beside_a_plank_and_beneath_it_do_not_meet():
    shelf = Shelf((row(2, 4, edge="one"), row(2, 4, edge="two")))
    lines = sorted({y for _, y, words in placed(shelf, 180.0) if words.startswith("cause")})
    assert all(lower - upper > STAGE.small for upper, lower in itertools.pairwise(lines))
    assert len(lines) == 6


def test_the_only_scan_of_an_edge_is_named_as_short_as_the_others():
    reason = ShelfReason("too short", "set-aside", ("shift_0041.dat",))
    alone = ShelfRow("N K", (Tick("shift_0041.dat", "set-aside"),), "none kept", (reason,))
    assert "too short: 0041" in texts(Shelf((row(3, 1), alone)), 400.0)
