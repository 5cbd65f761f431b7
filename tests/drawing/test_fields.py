"""Maps in eight tones of ink."""

from __future__ import annotations

import math
import re

from edgeshift.drawing import draw
from edgeshift.records.figure import Field, Figure, Ruler


def drawn(*rows: tuple[float, ...]) -> str:
    field = Field("goethite", rows, Ruler(0.0, 1.0, "amount"))
    return draw(Figure("shares", "A map.", (field,), "A map."))


def tones(svg: str) -> set[float]:
    return {
        float(each) for each in re.findall(r'<path d="[^"]*" fill="#14201F" fill-opacity="([\d.]+)"', svg)
    }


def test_more_is_darker_and_nought_is_paper():
    assert tones(drawn((0.0, 0.0), (0.0, 0.0))) == set()
    assert tones(drawn((0.0, 0.5), (0.99, 2.0))) == {0.6, 1.0}, "tones four and seven of seven"


def test_neighbours_of_one_tone_are_one_piece():
    (path,) = re.findall(r'<path d="([^"]*)" fill="#14201F"', drawn((1.0,) * 50, (1.0,) * 50))
    assert path.count("M") == 2


def test_what_has_no_number_is_outlined_and_not_tinted():
    svg = drawn((math.nan, 0.0), (0.0, 0.0))
    assert tones(svg) == set()
    assert 'stroke="#6E2758"' in svg
