"""What every picture must keep, whatever the answer, the sheet and the width."""

from __future__ import annotations

import gzip
import re
import time
import xml.etree.ElementTree as tree
from itertools import combinations

import pytest
import sample_answers

from edgeshift.drawing import curtain_looks, draw, picture, picture_height
from edgeshift.drawing.metrics import ASCENT, DESCENT, text_width
from edgeshift.figures import figure_of, minutes, summary, tables_of
from edgeshift.records.figure import Blank
from edgeshift.wording.names import Naming

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("real", "mixed", "unpaired", "four_arms", "long_names", "empty", "hostile")
NAMES += ("presence", "ghost", "shares", "shares_map", "shares_series")
NAMES += ("blind", "overview", "trace", "autopsy", "autopsy_found")
NAMES += ("pumping", "pumping_late", "stalled", "below", "no_forecast", "no_pressure", "cards", "no_cards")
NAMES += ("claim", "too_loud", "no_claim")
FIGURES = {name: figure_of(getattr(sample_answers, name)()) for name in NAMES}
FIGURES["backs"] = minutes.figure(sample_answers.cards(), hidden=True)
FIGURES["board"] = summary(sample_answers.edges())
SHEETS = [(1280, "light"), (1280, "dark"), (900, "light"), (390, "light"), (390, "dark")]
PLACES = [(1184, 392), (836, 470), (358, None)]
"""Where a page shows a picture: the Stage's zone, a bay of the Wing, a phone (as high as it wants)."""
ALLOWED = {
    "svg", "defs", "pattern", "g", "title", "rect", "line", "path", "circle", "polygon", "text", "tspan",
}  # fmt: skip

every_figure = pytest.mark.parametrize("name", FIGURES)
every_place = pytest.mark.parametrize(("width", "height"), PLACES)
every_sheet = pytest.mark.parametrize(("width", "theme"), SHEETS)


def words_boxes(root: tree.Element) -> list[tuple[str, float, float, float, float]]:
    """Each text with the box of its ink: left, top, right, bottom."""
    boxes = []
    for text in root.iter(f"{SVG}text"):
        size = float(text.get("font-size"))
        parts = [(text.text or "", text.get("font-weight"))]
        for span in text:
            parts += [(span.text or "", span.get("font-weight")), (span.tail or "", None)]
        italic = text.get("font-style") == "italic"
        wide = sum(
            text_width(part, size, "italic" if italic else "bold" if weight else "regular")
            for part, weight in parts
        )
        shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor", "start")] * wide
        left, y = float(text.get("x")) - shift, float(text.get("y"))
        whole = "".join(part for part, _ in parts)
        boxes.append((whole, left, y - ASCENT * size, left + wide, y + DESCENT * size))
    return boxes


@every_figure
@every_sheet
def test_no_words_lie_on_other_words_or_leave_the_sheet(name, width, theme):
    words_stand_apart(tree.fromstring(draw(FIGURES[name], width, theme)))


@every_figure
@every_place
def test_a_picture_fills_its_place_and_nothing_leaves_it(name, width, height):
    tall = height or picture_height(FIGURES[name], width)
    root = tree.fromstring(picture(FIGURES[name], width, tall))
    grown = float(root.get("height")) - tall
    assert root.get("viewBox").startswith(f"0 0 {width} ")
    assert 0 <= grown <= (0.4 * tall if FIGURES[name].notes else 0), "only notes may make it grow"
    words_stand_apart(root)


@every_figure
@pytest.mark.parametrize("width", [1184, 836, 358])
def test_a_picture_in_too_low_a_place_grows_before_its_words_collide(name, width):
    words_stand_apart(tree.fromstring(picture(FIGURES[name], width, 60)))


def words_stand_apart(root: tree.Element) -> None:
    width = float(root.get("width"))
    boxes = words_boxes(root)
    assert boxes
    for word, left, top, right, bottom in boxes:
        assert left >= -1 and right <= width + 1, word
        assert top >= -1 and bottom <= float(root.get("height")) + 1, word
    for (one, *a), (other, *b) in combinations(boxes, 2):
        across = min(a[2], b[2]) - max(a[0], b[0])
        down = min(a[3], b[3]) - max(a[1], b[1])
        assert across <= 1 or down <= 1, (one, other)


@every_figure
@every_sheet
def test_every_picture_says_itself_in_words(name, width, theme):
    root = tree.fromstring(draw(FIGURES[name], width, theme))
    sentence = Naming()(FIGURES[name].sentence).replace("**", "").replace("\x00", "\ufffd")
    assert root.get("role") == "img"
    assert root.get("aria-label").startswith(sentence)
    assert len(root.get("aria-label")) > len(sentence) + 10
    assert "{" not in root.get("aria-label") and "**" not in root.get("aria-label")


@every_figure
def test_only_harmless_elements_and_attributes_are_drawn(name):
    root = tree.fromstring(draw(FIGURES[name]))
    for part in root.iter():
        assert part.tag.removeprefix(SVG) in ALLOWED
        for attribute, value in part.attrib.items():
            assert not attribute.startswith("on") and attribute not in ("style", "href")
            assert "url(" not in value or re.fullmatch(r"url\(#e[0-9a-f]{8}-\w+\)", value)


def test_hostile_names_stay_words():
    svg = draw(FIGURES["hostile"])
    assert "<script" not in svg and "\x00" not in svg
    shown = "".join(tree.fromstring(svg).itertext())
    assert "<script>alert('x')</script> & \"quoted\" \N{POTABLE WATER SYMBOL}" in shown


@every_figure
def test_a_picture_is_light(name):
    for width, theme in SHEETS:
        assert len(gzip.compress(draw(FIGURES[name], width, theme).encode())) < 60_000


@every_figure
def test_a_picture_is_quick(name):
    spent = []
    for _ in range(7):
        start = time.process_time()
        draw(FIGURES[name])
        spent.append(time.process_time() - start)
    assert min(spent) < 0.020  # the promise is 10 ms on a quiet machine; busy ones get twice that


@every_figure
@every_place
def test_a_picture_of_a_page_is_as_light_and_quick(name, width, height):
    tall, spent = height or picture_height(FIGURES[name], width), []
    for _ in range(7):
        start = time.process_time()
        svg = picture(FIGURES[name], width, tall)
        spent.append(time.process_time() - start)
    assert min(spent) < 0.020  # as above: 10 ms on a quiet machine
    assert len(gzip.compress(svg.encode())) < 60_000


@every_figure
def test_the_same_figure_gives_the_same_bytes(name):
    assert draw(FIGURES[name]) == draw(FIGURES[name])


@pytest.mark.parametrize("name", ["real", "mixed", "unpaired"])
@pytest.mark.parametrize("order", [["raw", "fired"], ["fired", "raw"]])
def test_nothing_behind_a_curtain_names_the_arms(name, order):
    told = behind(getattr(sample_answers, name)(), order, (1184, 392))
    assert not re.search(r"\b(raw|fired|control|treated)\b", told, re.IGNORECASE)
    for hue in ("#173C7D", "#A94410", "#C3D0E8", "#F1CDB2"):
        assert hue not in told
    assert set(re.findall(r'data-series="(\w+)"', told)) <= {"p", "q"}


def behind(answer, order: list[str], place: tuple[int, int]) -> str:
    """The picture, its sentence and its tables, as a room sees them that drew this lot."""
    names = {("arm", arm): "PQ"[number] for number, arm in enumerate(order)}
    names |= {("unit", f"{arm.upper()}-{letter}"): f"{names['arm', arm]}-{letter}"
              for arm in order for letter in "ABCDE"}  # fmt: skip
    naming = Naming(names)
    figure = figure_of(answer)
    places = [order.index(arm) for arm in (answer.detail["control"], *answer.detail["treated"])]
    svg = picture(figure, *place, naming=naming, looks=curtain_looks(places))
    return naming("\n".join([svg, figure.sentence, figure.alt, repr(tables_of(figure))]))


@every_figure
def test_every_figure_but_a_blank_has_its_numbers_as_tables(name):
    figure = FIGURES[name]
    tables = tables_of(figure)
    assert bool(tables) == any(not isinstance(panel, Blank) for panel in figure.panels)
    for table in (*tables, *tables_of(figure, full=True)):
        assert table.rows and all(len(row) == len(table.columns) for row in table.rows)
        for cell in (cell for row in table.rows for cell in row if isinstance(cell, float)):
            assert cell == cell and abs(cell) < float("inf")
    assert all(len(table.rows) <= 60 for table in tables)


def test_small_type_on_the_stage_is_never_under_17_pixels():
    for name, figure in FIGURES.items():
        for text in tree.fromstring(draw(figure)).iter(f"{SVG}text"):
            assert float(text.get("font-size")) >= 16.9, name


def test_no_picture_on_the_stage_is_taller_than_the_stage():
    for name, figure in FIGURES.items():
        assert float(tree.fromstring(draw(figure)).get("height")) <= 720, name


def test_ids_differ_between_pictures_on_one_page():
    found = [set(re.findall(r' id="([^"]+)"', draw(figure))) for figure in FIGURES.values()]
    for one, other in combinations(found, 2):
        assert not one & other
