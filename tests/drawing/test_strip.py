"""Six states that differ by shape, and the open station where its question stands."""

from __future__ import annotations

import re
import xml.etree.ElementTree as tree
from typing import get_args

import pytest

from edgeshift.drawing import step_mark, strip, strip_places
from edgeshift.drawing.tokens import LIGHT
from edgeshift.records.figure import StepState

SVG = "{http://www.w3.org/2000/svg}"
STATES = get_args(StepState)
WIDTHS = [(1280, 100), (1440, 68), (390, 52)]


def test_every_state_is_told_by_its_shape_and_not_by_its_colour():
    shapes = {re.sub(r'(fill|stroke)="#[0-9A-F]{6}"', "", step_mark(state)) for state in STATES}
    assert len(shapes) == len(STATES) == 6


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_mark_is_decoration_of_34_by_22(state, theme):
    root = tree.fromstring(step_mark(state, theme))
    assert root.get("viewBox") == "0 0 34 22" and root.get("aria-hidden") == "true"
    assert len(root) >= 1


def test_an_answer_wears_the_full_stroke():
    assert 'stroke-width="3.8"' in step_mark("answered") and 'stroke-width="8"' in step_mark("cannot-tell")


def rule(svg: str) -> list[tuple[float, float]]:
    (path,) = [one for one in tree.fromstring(svg).iter(f"{SVG}path") if one.get("fill") == "none"]
    return [tuple(map(float, point.split())) for point in path.get("d")[1:].split("L")]


@pytest.mark.parametrize(("width", "height"), WIDTHS)
@pytest.mark.parametrize("chosen", range(6))
def test_the_rule_stands_high_over_the_chosen_station_and_nowhere_else(width, height, chosen):
    first, each = strip_places(width)
    points = rule(strip(chosen, width, height))
    high = [x for x, y in points if y < 0.5 * height]
    assert min(high) == pytest.approx(first + chosen * each, abs=8)
    assert max(high) == pytest.approx(first + (chosen + 1) * each, abs=8)
    assert all(0 <= x <= width for x, _ in points) and [x for x, _ in points] == sorted(x for x, _ in points)


@pytest.mark.parametrize(("width", "height"), WIDTHS)
def test_six_stations_fit_the_strip(width, height):
    first, each = strip_places(width)
    assert first >= 0 and first + 6 * each <= width


def test_it_rises_steeply_and_falls_at_ease():
    points = rule(strip(3))
    inside = [x for x, y in points if 12 < y < 94]
    middle = (min(inside) + max(inside)) / 2
    rise, fall = [x for x in inside if x < middle], [x for x in inside if x > middle]
    assert max(rise) - min(rise) < 0.7 * (max(fall) - min(fall))


def test_without_an_open_station_there_is_but_the_rule():
    assert LIGHT.sheet not in strip(None)


def test_a_rewound_page_has_a_dotted_rule():
    assert "stroke-dasharray" in strip(2, rewound=True) and "stroke-dasharray" not in strip(2)
