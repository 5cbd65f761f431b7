"""A font with only the letters a picture needs."""

from __future__ import annotations

import struct
from importlib.resources import files

import pytest

from edgeshift.drawing.font_subset import glyph_numbers, read_tables, subset

REGULAR = (files("fontpkg_atkinson_hyperlegible") / "files" / "AtkinsonHyperlegible-Regular.ttf").read_bytes()


def outline(font: bytes, letter: str) -> bytes:
    tables = read_tables(font)
    glyph = glyph_numbers(tables["cmap"])[ord(letter)]
    wide = struct.unpack_from(">h", tables["head"], 50)[0]
    start, stop = struct.unpack_from(">2I" if wide else ">2H", tables["loca"], glyph * (4 if wide else 2))
    step = 1 if wide else 2
    return tables["glyf"][start * step : stop * step]


def test_letters_asked_for_keep_their_outline_and_others_lose_it():
    small = subset(REGULAR, "clay")
    assert outline(small, "c").rstrip(b"\0") == outline(REGULAR, "c").rstrip(b"\0") != b""
    assert outline(small, "d") == b""


def test_a_letter_made_of_parts_brings_its_parts():
    small = subset(REGULAR, "é")
    assert outline(small, "e")
    assert outline(small, "a") == b""


def test_a_small_font_is_small_and_its_checksum_holds():
    small = subset(REGULAR, "fired minus raw")
    assert len(small) < 0.45 * len(REGULAR)
    whole = small + bytes(-len(small) % 4)
    assert sum(struct.unpack(f">{len(whole) // 4}I", whole)) % 2**32 == 0xB1B0AFBA


@pytest.mark.parametrize("unknown", ["窯", "\N{POTABLE WATER SYMBOL}", ""])
def test_letters_the_font_does_not_have_are_passed_over(unknown):
    assert subset(REGULAR, f"a{unknown}") == subset(REGULAR, "a")
