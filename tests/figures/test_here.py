"""The muster of elements and the line-up: what stands in them, in which order, and in words."""

from __future__ import annotations

import sample_answers

from edgeshift.figures.here import figure
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Blank, Line, LineUp, Muster, Plot


def test_the_whole_shift_is_a_muster_in_order_of_energy_beside_one_line_up():
    muster, lineup = figure(sample_answers.presence()).panels
    assert isinstance(muster, Muster) and isinstance(lineup, LineUp)
    assert [mark.name for mark in muster.marks] == ["C", "K", "Fe", "Ba", "Al"]
    assert {mark.name: mark.state for mark in muster.marks}["Ba"] == "empty"
    assert "2 more not seen" in muster.rest


def test_suspects_that_are_not_yet_excluded_come_first():
    _, lineup = figure(sample_answers.presence()).panels
    assert [one.excluded for one in lineup.suspects] == sorted(one.excluded for one in lineup.suspects)
    assert not lineup.suspects[0].excluded


def test_one_edge_shows_its_scan_and_what_would_have_shown():
    plot, _ = figure(sample_answers.ghost()).panels
    assert isinstance(plot, Plot)
    (strip,) = plot.strips
    names = [mark.name for mark in strip.marks if isinstance(mark, Line)]
    assert "would have shown" in names
    assert len(plot.hairlines) == 2, "the line and its twin"


def test_the_picture_says_itself_in_words():
    told = figure(sample_answers.ghost()).alt
    assert "barium: not seen" in told and "aluminium K in second order: not yet excluded" in told


def test_without_any_element_it_is_blank():
    empty = Answer("here", "cannot-tell", "No scans yet, so nothing can be told.", detail={"elements": {}})
    assert isinstance(figure(empty).panels[0], Blank)
