"""Fans of shares: the answer lies on its fan, the formal claim small beneath."""

from __future__ import annotations

import re
from dataclasses import replace

from edgeshift.drawing import draw
from edgeshift.records.figure import Fans, Figure, Ruler, Spread

ROW = Spread(
    "goethite", 0.3, (0.1, 0.6), (0.2, 0.4), (0.25, 0.35), "10 to 60 %", (0.29, 0.31), "formal 30", True
)


def drawn(*rows: Spread, width: int = 1280) -> str:
    return draw(Figure("shares", "A fan.", (Fans(Ruler(0.0, 1.0, "share"), rows),), "A fan."), width)


def test_nested_tints_and_a_capsule_stand_where_the_numbers_are():
    svg = drawn(ROW)
    boxes = {
        fill: (float(x), float(wide))
        for x, wide, fill in re.findall(
            r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)"[^>]* fill="(#\w+)"', svg
        )
    }
    most, half, answer = boxes["#D3E0DA"], boxes["#B2C6BC"], boxes["#F4C430"]
    assert answer[0] < most[0] < half[0]
    assert half[1] < most[1] < answer[1]
    assert abs(answer[1] / half[1] - 5) < 0.05


def test_only_the_main_share_wears_the_answers_colour():
    other = replace(ROW, main=False)
    assert "#F4C430" not in drawn(other)


def test_formal_words_go_left_where_the_right_is_short_of_room():
    high = replace(ROW, formal=(0.97, 0.99))
    assert re.search(r'text-anchor="end"[^>]*>formal 30', drawn(high))
    assert not re.search(r'text-anchor="end"[^>]*>formal 30', drawn(ROW))
