"""Strips on one ruler, on one scale."""

from __future__ import annotations

import pytest
import sample_answers as samples

from edgeshift.drawing.pen import Box
from edgeshift.drawing.plot import frame_strips
from edgeshift.figures import figure_of


def test_the_difference_has_the_pixels_per_step_of_the_curves_above_it():
    plot = figure_of(samples.real()).panels[0]
    upper, lower = frame_strips(plot, Box(100.0, 50.0, 500.0, 420.0))
    one, other = (frame.down(0.0) - frame.down(0.5) for frame in (upper, lower))
    assert one == pytest.approx(other)


def test_strips_follow_one_another_and_fill_their_body():
    plot = figure_of(samples.real()).panels[0]
    upper, lower = frame_strips(plot, Box(100.0, 50.0, 500.0, 420.0))
    assert upper.box.top == 50.0 and lower.box.bottom == pytest.approx(470.0)
    assert lower.box.top > upper.box.bottom
