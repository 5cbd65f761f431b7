"""Strips on one ruler, on one scale."""

from __future__ import annotations

import xml.etree.ElementTree as tree

import pytest
import sample_answers as samples

from edgeshift.drawing import draw, picture
from edgeshift.drawing.names import names_above
from edgeshift.drawing.page import PHONE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.plot import GAP, frame_strips
from edgeshift.drawing.tokens import LIGHT
from edgeshift.figures import figure_of
from edgeshift.records.figure import Line

SVG = "{http://www.w3.org/2000/svg}"
BODY = Box(100.0, 50.0, 500.0, 420.0)
TITLES = [0.0, 30.0, 20.0]


def test_the_strips_below_have_the_pixels_per_step_of_the_curves_above_them():
    plot = figure_of(samples.real()).panels[0]
    pixels = [frame.down(0.0) - frame.down(0.5) for frame in frame_strips(plot, BODY, TITLES)]
    assert pixels == pytest.approx([pixels[0]] * 3)


def test_strips_follow_one_another_beneath_their_titles_and_fill_their_body():
    plot = figure_of(samples.real()).panels[0]
    upper, middle, lower = (frame.box for frame in frame_strips(plot, BODY, TITLES))
    assert upper.top == 50.0 and lower.bottom == pytest.approx(470.0)
    assert middle.top == pytest.approx(upper.bottom + GAP + 30.0)
    assert lower.top == pytest.approx(middle.bottom + GAP + 20.0)


def hairline(svg: str) -> list[tuple[float, float]]:
    """Top and foot of each piece of the leftmost hairline."""
    found = tree.fromstring(svg).iter("{http://www.w3.org/2000/svg}line")
    hairs = [one for one in found if one.get("stroke-width") == "1.2" and one.get("x1") == one.get("x2")]
    left = min(float(one.get("x1")) for one in hairs)
    return [(float(one.get("y1")), float(one.get("y2"))) for one in hairs if float(one.get("x1")) == left]


@pytest.mark.parametrize("width", [1280, 390])
def test_a_hairline_runs_through_all_strips_but_not_through_their_titles(width):
    svg = draw(figure_of(samples.real()), width)
    texts = list(tree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"))
    heads = ("difference: ", "change of shape: ")
    baselines = [float(t.get("y")) for t in texts if (t.text or "").startswith(heads)]
    assert len(baselines) == 2
    pieces = hairline(svg)
    assert len(pieces) == 3
    for y in baselines:
        assert not any(top < y - 2 < bottom for top, bottom in pieces)


def test_pointing_at_a_line_without_a_name_tells_the_title_of_its_strip():
    svg = draw(figure_of(samples.real()))
    assert 'data-name="change of shape: offset, slope, height and slide taken out"' in svg


def test_a_phone_gives_two_bands_more_height_than_one():
    with_shape = figure_of(samples.real())
    without = figure_of(samples.real(curves=samples.curves() | {"shape": None}))
    tall = [float(tree.fromstring(draw(one, 390)).get("height")) for one in (with_shape, without)]
    assert tall[0] == tall[1] + 110


def test_on_a_phone_names_stand_above_the_curves_and_leave_them_their_width():
    root = tree.fromstring(picture(figure_of(samples.real()), 358, 1028))
    (plot,) = [rect for rect in root.iter(f"{SVG}rect") if rect.get("data-plot")]
    assert float(plot.get("width")) > 0.7 * 358
    (name,) = [text for text in root.iter(f"{SVG}text") if text.text == "fired"]
    assert float(name.get("y")) < float(plot.get("y"))


def test_names_that_do_not_fit_beside_one_another_take_rows_of_their_own():
    pen = Pen(LIGHT, PHONE)
    lines = [Line((0.0, 1.0), (0.0, 1.0), "control", name, marked=True) for name in ("a" * 12, "b" * 12, "c")]
    assert [name.row for name in names_above(pen, lines, 240.0)] == [0, 1, 1]
    assert all(name.right <= 240.0 for name in names_above(pen, lines, 240.0))
