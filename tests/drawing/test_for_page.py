"""Drawings for a page of many: the same lines in fewer letters, in colours that the page decides."""

from __future__ import annotations

import re

import pytest
import sample_answers as samples
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.drawing import draw
from edgeshift.drawing.for_page import COLOURS, for_page, page_colours, steps
from edgeshift.drawing.tokens import DARK, LIGHT
from edgeshift.figures import figure_of

POINTS = st.lists(st.tuples(st.integers(-9999, 9999), st.integers(-9999, 9999)), min_size=1, max_size=20)


def walked(path: str) -> list[tuple[int, int]]:
    """The corners of a path of steps, in tenths."""
    at, start, found = (0, 0), (0, 0), []
    for letter, rest in re.findall(r"([mlz])([^mlz]*)", path):
        if letter == "z":
            at = start
            continue
        across, down = (round(float(n) * 10) for n in re.findall(r"-?[\d.]+", rest))
        at = (at[0] + across, at[1] + down)
        start = at if letter == "m" else start
        found.append(at)
    return found


@given(POINTS)
def test_steps_lead_to_the_very_same_corners(points):
    path = "M" + "L".join(f"{x / 10} {y / 10}" for x, y in points)
    assert walked(steps(path)) == points
    assert walked(steps(f"{path}Z{path}")) == points + points


def test_level_and_upright_lines_are_steps_too():
    assert walked(steps("M0 99H1280V5.5")) == [(0, 990), (12800, 990), (12800, 55)]


def test_a_path_with_a_curve_in_it_is_left_alone():
    assert steps("M0 0C1 1 2 2 3 3") == "M0 0C1 1 2 2 3 3"


@pytest.mark.parametrize("sample", ["real", "mixed", "four_arms", "trust"])
def test_every_colour_of_a_drawing_is_the_pages_to_decide(sample):
    made = getattr(samples, sample, samples.real)()
    svg = for_page(draw(figure_of(made)), 0)
    assert re.findall(r'="#[0-9A-F]{6}"', svg) == []
    assert len(svg) < 0.9 * len(draw(figure_of(made)))


def test_the_dark_room_drawn_is_the_light_room_recoloured():
    figure = figure_of(samples.real())
    dark = re.findall(r"#[0-9A-F]{6}", draw(figure, theme="dark"))
    light = re.findall(r"#[0-9A-F]{6}", draw(figure))
    assert [COLOURS[colour][1] for colour in light] == dark


def test_two_drawings_of_one_page_share_no_name():
    svg = draw(figure_of(samples.real()))
    ids = [set(re.findall(r'id="([^"]+)"', for_page(svg, place))) for place in (1, 2)]
    assert ids[0] and not ids[0] & ids[1]
    for made, own in zip((for_page(svg, 1), for_page(svg, 2)), ids, strict=True):
        assert set(re.findall(r"url\(#([^)]+)\)", made)) <= own


def test_both_rooms_are_in_the_style_sheet():
    style = page_colours()
    assert f"--sheet:{LIGHT.sheet}" in style and f"--sheet:{DARK.sheet}" in style
    assert "prefers-color-scheme:dark" in style
