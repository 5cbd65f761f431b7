"""What was found, beneath the sentence."""

from __future__ import annotations

import re

from edgeshift.drawing.notes import draw_notes
from edgeshift.drawing.page import PHONE, STAGE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.tokens import LIGHT
from edgeshift.records.figure import Note

FOUND = Note("**scan-018:** Its yield sags by 26 %: charging.", "Mount it thinner.")


def drawn(notes: tuple[Note, ...], width: float = 1184.0, sizes=STAGE) -> tuple[str, float]:
    pen = Pen(LIGHT, sizes)
    beneath = draw_notes(pen, notes, Box(0.0, 0.0, width, 0.0))
    return "".join(pen.marks), beneath


def test_a_finding_has_a_plum_ring_its_words_and_its_next_act():
    svg, _ = drawn((FOUND,))
    assert svg.count("<circle") == 1 and LIGHT.plum in svg
    assert "scan-018:" in svg and "Mount it thinner." in svg
    assert re.search(r'<tspan font-weight="700">scan-018: ?</tspan>', svg)


def test_notes_need_more_room_on_a_phone():
    assert drawn((FOUND, FOUND), 200.0, PHONE)[1] > drawn((FOUND, FOUND))[1]
    assert drawn((FOUND, FOUND))[1] > 1.9 * drawn((FOUND,))[1] > 0
