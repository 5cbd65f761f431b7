"""The line-up on paper: whoever is not yet excluded is never left out, and nothing lies on anything else."""

from __future__ import annotations

import xml.etree.ElementTree as tree

import pytest

from edgeshift.drawing import draw
from edgeshift.records.figure import ElementMark, Figure, LineUp, Muster, Suspect

SVG = "{http://www.w3.org/2000/svg}"


def words(figure: Figure, width: int) -> str:
    return " ".join(
        "".join(text.itertext()) for text in tree.fromstring(draw(figure, width)).iter(f"{SVG}text")
    )


def lineup(open_: int, excluded: int) -> Figure:
    suspects = [Suspect(f"open {n}", False, "nobody looked") for n in range(open_)]
    suspects += [Suspect(f"shut {n}", True, "looked for, and not here") for n in range(excluded)]
    return Figure(
        "here",
        "Cannot tell.",
        (LineUp("Barium, M edge", "cannot-tell", "cannot tell", tuple(suspects)),),
        "x",
    )


@pytest.mark.parametrize("width", [1280, 900])
def test_where_room_is_short_the_excluded_are_counted_and_no_open_suspect_is_lost(width):
    told = words(lineup(4, 40), width)
    assert all(f"open {n}" in told for n in range(4))
    assert "more, excluded" in told


def test_on_a_phone_every_suspect_has_its_line():
    told = words(lineup(2, 12), 390)
    assert all(f"shut {n}" in told for n in range(12)) and "more, excluded" not in told


def test_without_suspects_it_says_so():
    assert "Nobody else was found" in words(lineup(0, 0), 1280)


@pytest.mark.parametrize("width", [1280, 390])
def test_every_element_of_a_muster_has_its_mark_and_its_word(width):
    marks = tuple(ElementMark(name, "answered", "seen") for name in ("C", "K", "Ca", "Ti", "O", "Fe", "Al"))
    figure = Figure("here", "Seen.", (Muster(marks, "25 more not seen"),), "x")
    told = words(figure, width)
    assert told.count("seen") == len(marks) + 1
    drawn = tree.fromstring(draw(figure, width))
    assert sum(path.get("fill") == "none" for path in drawn.iter(f"{SVG}path")) == len(marks)
