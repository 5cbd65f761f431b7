"""The ruler that serves as the axis."""

from __future__ import annotations

import xml.etree.ElementTree as tree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.drawing.metrics import text_width
from edgeshift.drawing.page import STAGE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import draw_ruler, draw_scale_bar, label, nice_step, ticks
from edgeshift.drawing.tokens import LIGHT
from edgeshift.records.figure import Ruler, ScaleBar


@given(st.floats(1e-6, 1e6), st.floats(3, 14))
def test_cells_are_round_and_about_as_many_as_wished(span, cells):
    step = nice_step(span, cells)
    assert cells / 2.6 <= span / step <= cells * 1.01
    assert any(str(step * 10.0**power).startswith(("1", "2", "5")) for power in (0, 6, 9))


@pytest.mark.parametrize(
    ("value", "step", "shown"),
    [(1560.0, 5.0, "1560"), (0.30000000000000004, 0.1, "0.3"), (-0.5, 0.5, "\u22120.5"), (1e-17, 0.1, "0.0"),
     (0.15, 0.05, "0.15"), (0.25, 0.25, "0.25")],
)  # fmt: skip
def test_a_number_has_the_digits_its_step_needs(value, step, shown):
    assert label(value, step) == shown


def test_ticks_hold_both_ends():
    assert ticks(0.0, 1.0, 0.5) == [0.0, 0.5, 1.0]
    assert ticks(1558.2, 1571.0, 5.0) == [1560.0, 1565.0, 1570.0]


def drawn(low: float, high: float, width: float) -> tree.Element:
    pen = Pen(LIGHT, STAGE)
    draw_ruler(pen, Ruler(low, high, "photon energy, eV"), Box(0.0, 0.0, width, 9.0))
    return tree.fromstring(f"<svg>{''.join(pen.marks)}</svg>")


@given(st.floats(-2000, 8000), st.floats(0.01, 900), st.floats(120, 1200))
def test_numbers_on_a_ruler_leave_air_between_them(low, span, width):
    texts = list(drawn(low, low + span, width).iter("text"))
    spots = sorted((float(t.get("x")), text_width(t.text, float(t.get("font-size")))) for t in texts)
    for (x, wide), (next_x, next_wide) in zip(spots, spots[1:], strict=False):
        assert next_x - next_wide / 2 > x + wide / 2 + 4


def test_cells_of_ink_and_sheet_take_turns():
    cells = [rect for rect in drawn(1560.0, 1600.0, 460.0).iter("rect") if rect.get("fill") == LIGHT.ink]
    lefts = [float(rect.get("x")) for rect in cells]
    assert len(cells) == 4 and all(
        later - sooner == pytest.approx(115, abs=0.2) for sooner, later in zip(lefts, lefts[1:], strict=False)
    )


def test_the_scale_bar_is_half_ink_and_stands_on_its_foot():
    pen = Pen(LIGHT, STAGE)
    draw_scale_bar(pen, ScaleBar(1.0, "one edge step"), (10.0, 300.0), 100.0)
    root = tree.fromstring(f"<svg>{''.join(pen.marks)}</svg>")
    whole, half = root.findall("rect")
    assert (whole.get("y"), whole.get("height")) == ("200", "100")
    assert (half.get("y"), half.get("height"), half.get("fill")) == ("200", "50", LIGHT.ink)
    assert [text.text for text in root.iter("text")] == ["one", "edge", "step"]
