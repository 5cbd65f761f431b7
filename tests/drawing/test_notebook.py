"""Answers and figures show themselves."""

from __future__ import annotations

from dataclasses import replace

import sample_answers as samples

from edgeshift.drawing import draw, svg_of
from edgeshift.figures import figure_of


def test_an_answer_and_its_figure_show_the_same_picture():
    answer = samples.real()
    assert svg_of(answer) == svg_of(figure_of(answer)) == draw(figure_of(answer), 900)


def test_an_attached_figure_is_shown_before_one_is_made():
    answer = replace(samples.real(), figure=figure_of(samples.overview()))
    assert 'data-kind="trust"' in svg_of(answer)
