"""Pictures of shares: what stands in them for one specimen, a map and a series."""

from __future__ import annotations

import math

import sample_answers

from edgeshift.figures import figure_of
from edgeshift.records.figure import Band, Fans, Field, Line, Plot


def test_one_specimen_shows_its_curve_what_is_left_and_every_fan():
    plot, fans = figure_of(sample_answers.shares()).panels
    assert isinstance(plot, Plot) and isinstance(fans, Fans)
    assert [row.main for row in fans.rows] == [True, False, False, False], "most is surely known of the first"
    upper, lower = plot.strips
    assert [type(mark) for mark in upper.marks] == [Band, Line, Line]
    assert [mark.name for mark in lower.marks] == ["left over", "without {specimen:gibbsite}"]
    assert lower.high - lower.low >= 0.2 * (upper.high - upper.low)


def test_the_fan_is_nested_and_the_formal_claim_stands_beside_it():
    _, fans = figure_of(sample_answers.shares()).panels
    row = fans.rows[0]
    assert row.whole[0] < row.most[0] < row.half[0] < row.middle < row.half[1] < row.most[1] < row.whole[1]
    assert row.formal_words == "formal 44.00 ± 0.40 %"
    assert row.words == "25 to 60 %"


def test_a_map_has_a_field_for_each_reference_on_one_scale_and_keeps_its_gaps():
    first, second, fans = figure_of(sample_answers.shares_map()).panels
    assert isinstance(first, Field) and isinstance(second, Field) and isinstance(fans, Fans)
    assert first.name == "{specimen:kaolinite}", "the one there is most of stands first"
    assert first.ruler == second.ruler
    assert math.isnan(first.rows[10][10])


def test_a_series_has_a_line_in_its_band_for_each_reference():
    plot, _ = figure_of(sample_answers.shares_series()).panels
    (strip,) = plot.strips
    assert [type(mark) for mark in strip.marks] == [Band, Band, Line, Line]
    assert strip.zero and plot.ruler.high == 400


def test_every_share_is_said_for_whoever_cannot_see_it():
    for answer in (sample_answers.shares(), sample_answers.shares_map(), sample_answers.shares_series()):
        alt = figure_of(answer).alt
        assert "{specimen:kaolinite}: 25 to 60 %, formal 44" in alt
    assert "A map of 6912 curves" in figure_of(sample_answers.shares_map()).alt
