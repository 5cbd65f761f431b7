"""The same figure over another window."""

from __future__ import annotations

import math

import pytest
import sample_answers as samples

from edgeshift.errors import QuestionRefused
from edgeshift.figures import figure_of, windowed
from edgeshift.records.figure import Band, Beyond, FlagMark, Label, Line

WHOLE = figure_of(samples.real())


def marks(figure, kind, strip=0):
    return [mark for mark in figure.panels[0].strips[strip].marks if isinstance(mark, kind)]


def test_the_whole_window_is_the_whole_figure():
    ruler = WHOLE.panels[0].ruler
    assert windowed(WHOLE, ruler.low - 5, ruler.high + 5).panels == WHOLE.panels


def test_what_is_shown_lies_in_the_window_and_reaches_its_ends():
    cut = windowed(WHOLE, 1564.24, 1572.24)
    assert (cut.panels[0].ruler.low, cut.panels[0].ruler.high) == (1564.24, 1572.24)
    for strip in range(3):
        for mark in marks(cut, Line, strip) + marks(cut, Band, strip):
            assert (mark.x[0], mark.x[-1]) == (1564.24, 1572.24)
    assert cut.panels[1] == WHOLE.panels[1]
    assert cut.alt.endswith("Shown from 1564.2 to 1572.2 eV.")


def test_measured_points_keep_their_numbers():
    line, cut = marks(WHOLE, Line)[0], marks(windowed(WHOLE, 1564.24, 1572.24), Line)[0]
    known = dict(zip(line.x, line.y, strict=True))
    assert all(known[x] == y for x, y in list(zip(cut.x, cut.y, strict=True))[1:-1])


def test_the_vertical_reach_follows_and_so_does_the_scale_bar():
    flat = windowed(WHOLE, 1558, 1562).panels[0]
    whole = WHOLE.panels[0]
    assert flat.strips[0].high - flat.strips[0].low < 0.3 * (whole.strips[0].high - whole.strips[0].low)
    assert flat.bar.height < whole.bar.height and "edge step" in flat.bar.words


def test_hairlines_and_bars_outside_are_left_out():
    assert windowed(WHOLE, 1580, 1590).panels[0].hairlines == ()
    beyond = marks(windowed(WHOLE, 1565, 1570), Beyond, 1)[0]
    assert beyond.stretches == ((1565, 1570),)


def test_that_a_band_is_cut_is_said_only_where_it_is():
    blind = figure_of(samples.blind())
    assert blind.panels[0].strips[1].note
    near = windowed(blind, 1560, 1564)
    assert "taller" in near.panels[0].strips[1].note
    assert not marks(windowed(WHOLE, 1565, 1570), Label)


def test_flags_outside_are_left_out_and_those_inside_stay_visible():
    trace = figure_of(samples.trace())
    flag = marks(trace, FlagMark)[0]
    cut = windowed(trace, flag.x - 1, flag.x + 1)
    assert marks(cut, FlagMark) == [flag]
    assert cut.panels[0].strips[0].low <= flag.y <= cut.panels[0].strips[0].high
    assert any(math.isnan(y) for y in marks(cut, Line)[0].y), "its line still breaks there"


@pytest.mark.parametrize(
    ("low", "high", "why"),
    [
        (1570, 1560, "the lower one first"),
        (math.nan, 1570, "the lower one first"),
        (100, 200, "energies between 1558 and 1598"),
        (1570.0, 1570.1, "at least 4 measured points"),
    ],
)
def test_a_window_that_would_show_nothing_is_refused_kindly(low, high, why):
    with pytest.raises(QuestionRefused, match=why):
        windowed(WHOLE, low, high)


def test_a_figure_without_a_curve_has_no_window():
    with pytest.raises(QuestionRefused, match="a figure with a curve"):
        windowed(figure_of(samples.overview()), 1, 2)
