"""From the units of the measurement into pixels."""

from __future__ import annotations

import xml.etree.ElementTree as tree

import numpy as np
import pytest

from edgeshift.drawing.curves import Frame, draw_band, draw_beyond, draw_ghosts, draw_line, draw_overlap, thin
from edgeshift.drawing.page import STAGE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.tokens import LIGHT, blend
from edgeshift.records.figure import Band, Beyond, Ghost, Line, Ruler

FRAME = Frame(Box(100.0, 50.0, 400.0, 200.0), Ruler(0.0, 10.0, "eV"), -1.0, 1.0)
X = tuple(float(x) for x in range(11))


def drawn(pen: Pen) -> list[tree.Element]:
    return list(tree.fromstring(f"<svg>{''.join(pen.marks)}</svg>"))


def test_the_corners_of_a_strip_are_the_corners_of_its_box():
    assert (FRAME.across(0.0), FRAME.across(10.0)) == (100.0, 500.0)
    assert (FRAME.down(1.0), FRAME.down(-1.0)) == (50.0, 250.0)


def test_thinning_keeps_every_extreme():
    x = np.linspace(0, 1, 20_000)
    y = np.sin(40 * x)
    y[12_345] = 9.0
    kept = thin(x, (y,))
    assert kept.size <= 600 and 12_345 in kept and np.all(np.diff(kept) > 0)
    assert thin(x[:100], (y[:100],)).size == 100


def test_a_line_carries_its_numbers_for_pointing():
    pen = Pen(LIGHT, STAGE)
    draw_line(pen, FRAME, Line(X, tuple(0.1 * x for x in X), "treated", "fired"), 3.5, "fired")
    (path,) = drawn(pen)
    assert path.get("data-x").split()[3] == "3" and path.get("data-y").split()[3] == "0.3"
    assert path.get("stroke-dasharray") == "13 5" and path.get("data-name") == "fired"


def test_a_treated_band_is_tinted_hatched_and_edged():
    pen = Pen(LIGHT, STAGE)
    draw_band(pen, FRAME, Band(X, (0.0,) * 11, (0.5,) * 11, "treated"))
    tint, hatch, edge = drawn(pen)
    assert tint.get("fill") == LIGHT.treated_fill
    assert hatch.get("fill") == "url(#e-hatch)"
    assert edge.get("stroke") == LIGHT.line


def test_where_bands_overlap_their_tints_blend():
    pen = Pen(LIGHT, STAGE)
    first = Band(X, (0.0,) * 11, (0.5,) * 11, "control")
    draw_overlap(pen, FRAME, first, Band(X, (0.25,) * 11, (0.75,) * 11, "treated"))
    (shared,) = drawn(pen)
    assert shared.get("fill") == blend(LIGHT.control_fill, LIGHT.treated_fill, False)
    assert " 100" in shared.get("d") and " 125" in shared.get("d")


def test_a_band_is_cut_at_its_strip_and_left_open_there():
    pen = Pen(LIGHT, STAGE)
    high = tuple(5.0 if 3 < x < 7 else 0.5 for x in X)
    draw_band(pen, FRAME, Band(X, (-0.5,) * 11, high))
    tint, edge = drawn(pen)
    downs = [float(point.split()[1]) for point in tint.get("d").strip("MZ").split("L")]
    assert min(downs) == 50.0
    assert edge.get("d").count("M") == 3 and " 50" not in edge.get("d")


def test_bands_that_do_not_meet_share_nothing():
    pen = Pen(LIGHT, STAGE)
    first = Band(X, (0.0,) * 11, (0.2,) * 11, "control")
    draw_overlap(pen, FRAME, first, Band(X, (0.25,) * 11, (0.75,) * 11, "treated"))
    assert pen.marks == []


def test_a_line_of_ten_thousand_points_stays_light():
    pen = Pen(LIGHT, STAGE)
    x = np.linspace(0, 10, 10_000)
    draw_line(pen, FRAME, Line(tuple(x.tolist()), tuple(np.sin(x).tolist())), 2.0, "")
    assert len(pen.marks[0]) < 25_000
    assert pen.marks[0].count("L") == pytest.approx(500, abs=150)


def test_a_bar_lies_on_the_zero_line_wherever_a_band_leaves_it():
    pen = Pen(LIGHT, STAGE)
    draw_beyond(pen, FRAME, Beyond(((1.0, 3.0), (6.0, 6.0))))
    wide, narrow = drawn(pen)
    assert (float(wide.get("x")), float(wide.get("width"))) == (140.0, 80.0)
    assert float(narrow.get("width")) >= 5, "one point is wide enough to be seen"
    for bar in (wide, narrow):
        assert float(bar.get("y")) + float(bar.get("height")) / 2 == pytest.approx(FRAME.down(0.0))
        assert bar.get("fill") == LIGHT.straw and bar.get("stroke") == LIGHT.ink, "told without hue"


def test_bars_that_would_touch_become_one():
    pen = Pen(LIGHT, STAGE)
    draw_beyond(pen, FRAME, Beyond(((2.0, 3.0), (3.05, 4.0))))
    (bar,) = drawn(pen)
    assert float(bar.get("x")) == pytest.approx(180.0) and float(bar.get("width")) == pytest.approx(80.0)


def test_a_sketch_is_two_strokes_of_pencil_in_one_group_that_can_fade_in():
    pen = Pen(LIGHT, STAGE)
    draw_ghosts(pen, FRAME, [Ghost((0.0, 5.0, 10.0), (0.0, 0.5, 0.0)), Ghost((0.0, 12.0), (0.0, 0.0))])
    (group,) = drawn(pen)
    assert group.get("data-ghosts") == "2" and len(group) == 4
    assert {path.get("stroke") for path in group} == {LIGHT.pencil}
    assert [path.get("stroke-opacity") for path in group][:2] == ["0.26", "0.88"]


def test_a_sketch_is_cut_at_its_strip():
    pen = Pen(LIGHT, STAGE)
    draw_ghosts(pen, FRAME, [Ghost(X, tuple(9.0 if x == 5 else 0.0 for x in X))])
    path = drawn(pen)[0][0].get("d")
    assert path.count("M") == 2 and all(
        50 <= float(y) <= 250 for y in [p.split()[1] for p in path.replace("M", "L").split("L") if p]
    )
