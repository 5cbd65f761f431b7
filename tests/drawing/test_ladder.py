"""The three states of a rung look different without colour."""

from __future__ import annotations

import xml.etree.ElementTree as tree

import sample_answers as samples

from edgeshift.drawing.ladder import draw_ladder
from edgeshift.drawing.page import STAGE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.tokens import LIGHT
from edgeshift.figures.ladders import ladder


def drawn(answer) -> tree.Element:
    pen = Pen(LIGHT, STAGE)
    draw_ladder(pen, ladder(answer.detail), Box(0.0, 0.0, 520.0, 500.0))
    return tree.fromstring(f"<svg>{''.join(pen.marks)}</svg>")


def bars(root: tree.Element) -> list[tuple[float, str]]:
    return [
        (float(rect.get("height")), rect.get("fill")) for rect in root.iter("rect") if rect.get("rx") == "2"
    ]


def test_a_lit_rung_is_thick_and_straw_a_rung_not_shown_thin_and_hollow():
    assert bars(drawn(samples.real())) == [(11.0, LIGHT.straw)] * 3
    assert bars(drawn(samples.mixed())) == [(8.0, LIGHT.sheet), (11.0, LIGHT.straw)]


def test_a_rung_that_cannot_be_tested_is_two_stubs_around_its_words():
    root = drawn(samples.mixed())
    words = next(text for text in root.iter("text") if text.text == "one pot each: no test")
    y = float(words.get("y")) - 0.33 * 18
    level = [line for line in root.iter("line") if line.get("y1") == line.get("y2")]
    stubs = [line for line in level if abs(float(line.get("y1")) - y) < 1]
    assert len(stubs) == 2
    assert float(stubs[0].get("x2")) < 260 < float(stubs[1].get("x1"))


def test_lit_words_are_bold_and_others_are_not():
    weights = {text.text: text.get("font-weight") for text in drawn(samples.mixed()).iter("text")}
    assert weights["more than repeat scans"] == "700"
    assert weights["more than other spots"] is None and weights["more than other units"] is None
    assert weights["found after"] == "700"


def test_every_dot_can_be_pointed_at():
    titles = [title.text for title in drawn(samples.real()).iter("title")]
    assert len(titles) == 36
    assert all(": 0." in title or ": 1." in title for title in titles)


def test_pairs_are_joined_on_the_top_rung_only():
    root = drawn(samples.real())
    joins = [line for line in root.iter("line") if line.get("stroke-width") == "2"]
    assert len(joins) == 3
    lowest_join = max(float(line.get("y1")) for line in joins)
    bars_y = [float(rect.get("y")) for rect in root.iter("rect") if rect.get("rx") == "2"]
    assert lowest_join < min(bars_y)


def test_the_stamp_stands_in_one_place_however_long_the_words_are():
    long = samples.real(feature=samples.long_names().detail["feature"])
    places = []
    for answer in (samples.real(), long):
        texts = [(text.get("x"), float(text.get("y")), text.text) for text in drawn(answer).iter("text")]
        places.append(max(texts, key=lambda text: text[1]))
    assert places[0] == places[1] and places[0][2] == "declared before"


def test_a_lit_rung_shows_since_when_it_is_frozen_between_its_title_and_its_dots():
    frozen = samples.real(frozen="x", looks=[{"units": 2}], next_look_at=3)
    root = drawn(frozen)
    at = {text.text: float(text.get("y")) for text in root.iter("text")}
    words = at["frozen at two pairs; judged next at three"]
    joins = [float(line.get("y1")) for line in root.iter("line") if line.get("stroke-width") == "2"]
    assert at["more than other units"] < words < min(joins)
