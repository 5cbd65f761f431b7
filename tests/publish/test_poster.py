"""A poster: one sheet of its venue, letters that are read from afar, and conclusions that are the group's."""

from __future__ import annotations

import re
from dataclasses import replace

import pdf_sizes
import pytest
from sample_material import WORDS, filled, material

from edgeshift.drawing.tokens import LIGHT
from edgeshift.publish.material import Said
from edgeshift.publish.poster import SHEETS_MM, WordsTooLong, poster, poster_data
from edgeshift.publish.press import sheets
from edgeshift.publish.report import pictures
from edgeshift.recipe.venue import Venue

LEAST_PT, LEAST_IN_FIGURES = 24.0, 16.0


@pytest.mark.parametrize("size", SHEETS_MM)
@pytest.mark.parametrize("make", [material, filled])
def test_a_poster_is_one_sheet_and_its_smallest_words_have_24_points(size, make):
    made = poster(make(), Venue(size=size, credit="Figure: the club", logo_space=True))["poster.pdf"]
    assert pdf_sizes.pages(made) == 1
    wide, tall = (mm / 25.4 * 72 for mm in SHEETS_MM[size])
    box = re.search(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", made + b"".join(pdf_sizes.plain(made)))
    assert (float(box[1]), float(box[2])) == pytest.approx((wide, tall), abs=0.5)
    words = pdf_sizes.sizes_of_words(made)
    assert words and min(words) >= LEAST_PT
    assert min(pdf_sizes.sizes_pt(made)) >= LEAST_IN_FIGURES


def test_the_same_material_gives_the_same_bytes():
    assert poster(filled()) == poster(filled())


def test_what_we_see_and_what_we_cannot_say_are_the_groups_or_lines_to_write_on():
    assert poster_data(filled(), Venue())["words"] == WORDS
    assert set(poster_data(material(), Venue())["words"].values()) == {None}


LONG = ("a hundred times over, the fire " * 20)[:600]


def test_what_is_seen_and_what_cannot_be_said_may_both_fill_their_slots_to_the_brim():
    full = dict.fromkeys(("what-we-see", "what-we-cannot-say"), LONG)
    made = poster(filled(**full))["poster.pdf"]
    assert pdf_sizes.pages(made) == 1
    assert min(pdf_sizes.sizes_of_words(made)) >= LEAST_PT


def test_words_that_leave_no_room_for_the_figure_are_refused_and_the_longest_slot_is_named():
    many = tuple(Said(f"clay of bank {n} (treated): one pot", "text", str(n)) for n in range(40))
    crowded = replace(filled(**{"what-we-see": LONG}), design=many)
    with pytest.raises(
        WordsTooLong, match="room for its figure, found .* letters in its slots. Shorten what-we"
    ):
        poster(crowded)


def test_a_credit_stands_under_each_figure_and_a_venue_without_thanks_has_no_place_for_them():
    data = poster_data(filled(), Venue(credit="Figure: the club", thanks=False))
    assert (data["credit"], data["thanks"]) == ("Figure: the club", False)


def test_a_logo_takes_room_where_the_venue_keeps_it():
    def drawn(venue: Venue) -> bytes:
        return sheets("poster", poster_data(filled(), venue), pictures(filled()), 0.05)[0]

    assert drawn(Venue(logo_space=True)) != drawn(Venue())


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("ground", ["sheet", "glaze"])
@pytest.mark.parametrize("letters", ["ink", "ink2"])
def test_words_stand_out_from_their_ground(ground, letters):
    from importlib.resources import files

    house = (files("edgeshift.publish") / "layout" / "house.typ").read_text()
    told = dict(re.findall(r'#let (\w+) = rgb\("(#\w+)"\)', house))
    light, dark = luminance(told[ground]), luminance(told[letters])
    assert (light + 0.05) / (dark + 0.05) >= 4.5
    assert (told[ground], told[letters]) == (getattr(LIGHT, ground), getattr(LIGHT, letters))
