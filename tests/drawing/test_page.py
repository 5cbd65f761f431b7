"""One sheet, whatever its width."""

from __future__ import annotations

import xml.etree.ElementTree as tree
from dataclasses import replace

import pytest
import sample_answers as samples

from edgeshift.drawing import draw
from edgeshift.drawing.tokens import DARK, LIGHT
from edgeshift.figures import figure_of, summary

SVG = "{http://www.w3.org/2000/svg}"


def test_a_projector_sheet_is_16_to_9():
    root = tree.fromstring(draw(figure_of(samples.real())))
    assert root.get("viewBox") == "0 0 1280 720"


def test_on_a_phone_the_ladder_stands_beneath_the_plot():
    root = tree.fromstring(draw(figure_of(samples.real()), 390))
    rows = {text.text: float(text.get("y")) for text in root.iter(f"{SVG}text")}
    assert rows["more than other units"] > rows["photon energy, eV, at Al K"]


def test_a_board_takes_only_the_height_of_a_strip():
    root = tree.fromstring(draw(summary(samples.edges())))
    assert float(root.get("height")) < 500


@pytest.mark.parametrize(("theme", "tokens"), [("light", LIGHT), ("dark", DARK)])
def test_the_paper_is_the_sheet_of_its_theme(theme, tokens):
    root = tree.fromstring(draw(figure_of(samples.real()), theme=theme))
    assert root.find(f"{SVG}rect").get("fill") == tokens.sheet


def test_bold_words_are_drawn_bold_without_their_stars():
    root = tree.fromstring(draw(figure_of(samples.real())))
    bold = [span.text.strip() for span in root.iter(f"{SVG}tspan") if span.get("font-weight") == "700"]
    assert bold == ["three", "pairs"]
    assert "**" not in "".join(root.itertext())


def test_a_question_to_the_room_speaks_in_the_voice_of_people():
    root = tree.fromstring(draw(figure_of(samples.four_arms())))
    italic = [text.text for text in root.iter(f"{SVG}text") if text.get("font-style") == "italic"]
    assert " ".join(italic) == "Is that the firing, or the place it was dug?"


def test_a_picture_without_its_sentence_still_says_it_in_words():
    bare = replace(figure_of(samples.real()), sentence="")
    root = tree.fromstring(draw(bare))
    assert root.get("aria-label").startswith("All three pairs moved")
    assert "pairs" not in "".join(root.itertext())
