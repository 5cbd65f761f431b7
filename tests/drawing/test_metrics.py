"""Words are as wide as the fonts we ship make them."""

from __future__ import annotations

import struct
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.drawing.font_subset import glyph_numbers, read_tables
from edgeshift.drawing.metrics import evenly, fit_lines, pinch, shorten, text_width, wrap

FONTS = {
    "regular": ("fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Regular.ttf"),
    "bold": ("fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Bold.ttf"),
    "italic": ("fontpkg_literata", "Literata-Italic[opsz,wght].ttf"),
}
PRINTABLE = [chr(code) for code in range(0x20, 0x7F)]


def advances(font: bytes) -> dict[str, float]:
    """Advance widths in thousandths, read from the font itself (OpenType `head`, `hhea`, `hmtx`, `cmap`)."""
    tables = read_tables(font)
    per_em = struct.unpack_from(">H", tables["head"], 18)[0]
    long_ones = struct.unpack_from(">H", tables["hhea"], 34)[0]
    widths = struct.unpack_from(f">{2 * long_ones}H", tables["hmtx"])[::2]
    glyphs = glyph_numbers(tables["cmap"])
    return {c: 1000 * widths[min(glyphs[ord(c)], long_ones - 1)] / per_em for c in PRINTABLE}


@pytest.mark.parametrize("voice", FONTS)
def test_the_baked_widths_are_those_of_the_shipped_font(voice):
    package, name = FONTS[voice]
    font = advances((files(package) / "files" / name).read_bytes())
    for character, wide in font.items():
        assert text_width(character, 1000.0, voice) == pytest.approx(wide, abs=0.51), character


def test_an_accent_takes_no_room_of_its_own():
    assert text_width("é", 20.0) == text_width("e", 20.0) == text_width("e\u0301", 20.0)


def test_room_is_left_for_characters_of_other_fonts():
    assert text_width("\N{POTABLE WATER SYMBOL}", 20.0) >= 20.0
    assert text_width("窯", 20.0) >= 20.0


words = st.lists(st.text("abcdefgh-é", min_size=1, max_size=9), min_size=1, max_size=12).map(" ".join)


@given(words, st.floats(40, 400))
def test_wrapped_lines_hold_every_word_and_fit_where_a_word_can(text, width):
    lines = wrap(text, 18.0, width)
    assert " ".join(lines) == text
    for line in lines:
        assert text_width(line, 18.0) <= width or " " not in line


@given(words, st.floats(40, 400))
def test_shortened_words_fit(text, width):
    assert text_width(shorten(text, 18.0, width), 18.0) <= width
    assert text_width(pinch(text, 18.0, width), 18.0) <= width
    assert all(text_width(line, 18.0) <= width for line in fit_lines(text, 18.0, width, 2))
    assert len(fit_lines(text, 18.0, width, 2)) <= 2


@given(words, st.floats(120, 400))
def test_even_lines_are_no_more_than_uneven_ones(text, width):
    assert len(evenly(lambda narrow: wrap(text, 18.0, narrow), width)) == len(wrap(text, 18.0, width))


def test_a_pinched_name_keeps_both_its_ends():
    assert pinch("third table by the window, A", 18.0, 100.0).endswith(", A")


def test_a_no_break_space_holds_a_number_together():
    assert wrap("1\u00a0×\u00a010 of it", 18.0, 20.0) == ["1\u00a0×\u00a010", "of", "it"]
