"""Sketches of the room beneath the curve."""

from __future__ import annotations

import math

import sample_answers as samples

from edgeshift.figures import figure_of, with_ghosts
from edgeshift.records.figure import Ghost

TRACE = figure_of(samples.trace())
FIRST, SECOND = [(700.0, 0.2), (709.0, 1.5), (730.0, 0.6)], [(700.0, 0.1), (712.0, 1.1), (730.0, 0.7)]


def test_sketches_stand_first_so_that_all_else_is_drawn_over_them():
    marks = with_ghosts(TRACE, [FIRST, SECOND]).panels[0].strips[0].marks
    assert [isinstance(mark, Ghost) for mark in marks[:3]] == [True, True, False]


def test_nothing_tells_in_which_order_they_came():
    assert with_ghosts(TRACE, [FIRST, SECOND]) == with_ghosts(TRACE, [SECOND, FIRST])


def test_points_stand_by_energy_and_what_is_no_number_is_left_out():
    drawn = with_ghosts(TRACE, [[(709.0, 1.5), (700.0, 0.2), (math.nan, 1.0), (705.0, math.inf)]])
    assert drawn.panels[0].strips[0].marks[0] == Ghost((700.0, 709.0), (0.2, 1.5))


def test_a_wild_sketch_does_not_press_the_curve_flat():
    strip = TRACE.panels[0].strips[0]
    wild = with_ghosts(TRACE, [[(700.0, 0.0), (710.0, 1000.0)]]).panels[0].strips[0]
    assert wild.high - wild.low <= 2 * (strip.high - strip.low) + 1e-9


def test_they_are_told_without_names_and_a_dot_is_no_sketch():
    assert "Two sketches by the room" in with_ghosts(TRACE, [FIRST, SECOND]).alt
    assert with_ghosts(TRACE, [[(700.0, 1.0)], []]) == TRACE
    shelf = figure_of(samples.overview())
    assert with_ghosts(shelf, [FIRST]) == shelf
