"""From SVG to PNG with our own fonts."""

from __future__ import annotations

import struct

import pytest
import sample_answers as samples

from edgeshift.actions.press import NoPicture, font_folders, png
from edgeshift.drawing import draw
from edgeshift.figures import figure_of


def size_of(picture: bytes) -> tuple[int, int]:
    """Width and height of a PNG (ISO/IEC 15948, IHDR)."""
    assert picture.startswith(b"\x89PNG\r\n\x1a\n")
    return struct.unpack(">II", picture[16:24])


def test_a_picture_is_pressed_at_the_size_asked_for():
    svg = draw(figure_of(samples.real()))
    assert size_of(png(svg)) == (1280, 720)
    assert size_of(png(svg, scale=2.0)) == (2560, 1440)


@pytest.mark.parametrize("family", ["Atkinson Hyperlegible", "Literata"])
def test_words_are_printed_in_our_fonts_and_not_left_blank(family):
    sheet = '<svg xmlns="http://www.w3.org/2000/svg" width="200" height="40" viewBox="0 0 200 40">{}</svg>'
    style = ' font-style="italic"' if family == "Literata" else ""
    words = f'<text x="5" y="30" font-size="24" font-family="{family}"{style}>river clay</text>'
    assert len(png(sheet.format(words))) > 2 * len(png(sheet.format("")))


def test_the_same_picture_gives_the_same_bytes():
    svg = draw(figure_of(samples.mixed()))
    assert png(svg) == png(svg)


def test_what_is_no_picture_is_refused():
    with pytest.raises(NoPicture, match="needed an SVG with a width"):
        png("<svg")
    with pytest.raises(NoPicture, match="needed an SVG with a width"):
        png('<svg xmlns="http://www.w3.org/2000/svg"/>')


def test_the_font_packages_are_where_they_should_be():
    assert [folder.rsplit("/", 2)[1] for folder in font_folders()] == [
        "fontpkg_atkinson_hyperlegible",
        "fontpkg_literata",
    ]
