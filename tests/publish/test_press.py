"""From SVG to PNG with our own fonts."""

from __future__ import annotations

import gzip
import re
import struct
import xml.etree.ElementTree as tree
from base64 import b64decode

import pytest
import sample_answers as samples
import typst

from edgeshift.drawing import draw
from edgeshift.figures import figure_of
from edgeshift.publish.press import NoPicture, font_folders, png, with_fonts


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


@pytest.mark.parametrize("name", ["four_arms", "long_names", "overview"])
def test_a_picture_with_its_fonts_inside_is_still_light_and_well_formed(name):
    svg = draw(figure_of(getattr(samples, name)()))
    alone = with_fonts(svg)
    root = tree.fromstring(alone)
    assert root[0].text.count("@font-face") == (3 if name == "four_arms" else 2)
    assert len(gzip.compress(alone.encode())) < 90_000


def test_the_fonts_inside_print_the_very_same_letters(tmp_path):
    words = "All three pairs moved: 0.63 ÷ é"
    source = (
        '#set page(width: 400pt, height: 40pt)\n#set text(font: "Atkinson Hyperlegible", kerning: false)\n'
    )
    svg = f'<svg xmlns="http://www.w3.org/2000/svg"><text font-weight="700">{words}</text></svg>'
    for number, packed in enumerate(re.findall(r"base64,([^)]+)", with_fonts(svg))):
        (tmp_path / f"{number}.ttf").write_bytes(b64decode(packed))
    pictures = [
        typst.compile((source + words).encode(), format="png",
                      font_paths=typst.Fonts(font_paths=folders, include_system_fonts=False))
        for folders in (font_folders(), [str(tmp_path)])
    ]  # fmt: skip
    assert pictures[0] == pictures[1]


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
