"""The edge that every state is drawn with."""

from __future__ import annotations

import numpy as np
import pytest

from edgeshift.drawing.page import STAGE
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shoulder import draw_step_mark, shoulder
from edgeshift.drawing.tokens import LIGHT

BOX = Box(0.0, 0.0, 34.0, 22.0)
STATES = ("empty", "not-yet", "cannot-tell", "partly", "answered", "failed")


def test_a_shoulder_rises_from_corner_to_corner_and_is_even():
    x, y = shoulder(BOX)
    assert (x[0], y[0], x[-1], y[-1]) == (0.0, 22.0, 34.0, 0.0)
    assert np.all(np.diff(x) >= 0) and np.all(np.diff(y) <= 1e-9)
    assert y + y[::-1] == pytest.approx(np.full_like(y, 22.0))


def test_every_state_is_drawn_differently():
    drawn = []
    for state in STATES:
        pen = Pen(LIGHT, STAGE)
        draw_step_mark(pen, state, BOX)
        drawn.append("".join(pen.marks))
    assert len(set(drawn)) == len(STATES) and all(drawn)


def test_a_band_without_a_line_is_wide_and_an_answer_is_ink():
    pen = Pen(LIGHT, STAGE)
    draw_step_mark(pen, "cannot-tell", BOX)
    assert 'stroke-width="8"' in pen.marks[0] and LIGHT.ink not in pen.marks[0]
    draw_step_mark(pen, "answered", BOX)
    assert LIGHT.ink in pen.marks[1]
