"""The picture of "is the difference real?" as data."""

from __future__ import annotations

import math

import pytest
import sample_answers as samples

from edgeshift.figures.real import figure, hairlines
from edgeshift.records.figure import Band, Beyond, Blank, Label, Ladder, Line, Plot


def marks(panel: Plot, strip: int, kind: type) -> list:
    return [mark for mark in panel.strips[strip].marks if isinstance(mark, kind)]


def test_both_arms_stand_in_their_bands_with_names_at_their_ends():
    plot = figure(samples.real()).panels[0]
    assert [(band.role) for band in marks(plot, 0, Band)] == ["control", "treated"]
    lines = marks(plot, 0, Line)
    assert [(line.role, line.name, line.marked) for line in lines] == [
        ("control", "{arm:raw}", True),
        ("treated", "{arm:fired}", True),
    ]
    kinds = [type(mark) for mark in plot.strips[0].marks]
    assert kinds == sorted(kinds, key=[Band, Line].index), "band first"


def test_both_bands_stand_beneath_the_curves_each_with_its_zero_line_and_its_words():
    plot = figure(samples.real()).panels[0]
    assert [strip.title for strip in plot.strips] == [
        "",
        "difference: {arm:fired} minus {arm:raw}, same scale",
        "change of shape: offset, slope, height and slide taken out",
    ]
    for place, below in enumerate(plot.strips[1:], start=1):
        assert below.zero and below.low < 0 < below.high
        assert [band.role for band in marks(plot, place, Band)] == ["neutral"]
    shown = samples.real().detail["curves"]
    assert marks(plot, 2, Line)[0].y == tuple(shown["shape"]["value"])
    assert marks(plot, 2, Band)[0].high == tuple(shown["shape"]["high"])


def test_bars_stand_where_a_band_leaves_zero_and_nowhere_else():
    both = samples.curves()
    stretches = [[1565.0, 1567.0], [1570.0, 1570.0]]
    both["beyond"] = {"shape": {"farthest_ev": 1566.2, "stretches": stretches}}
    plot = figure(samples.real(curves=both)).panels[0]
    assert not marks(plot, 1, Beyond) and plot.strips[1].note == ""
    (bars,) = marks(plot, 2, Beyond)
    assert bars.stretches == ((1565.0, 1567.0), (1570.0, 1570.0))
    assert plot.strips[2].note == "bars: its band leaves zero"


def test_without_a_shape_band_only_the_difference_stands_beneath_the_curves():
    plot = figure(samples.real(curves=samples.curves() | {"shape": None})).panels[0]
    assert len(plot.strips) == 2 and plot.strips[1].title.startswith("difference")


def test_the_alternative_text_tells_both_bands_and_where_they_leave_zero():
    both = samples.curves()
    both["beyond"] = {"shape": {"farthest_ev": 1566.2, "stretches": [[1565.0, 1567.0], [1570.0, 1570.0]]}}
    alt = figure(samples.real(curves=both)).alt
    assert "beneath them {arm:fired} minus {arm:raw}, largest at" in alt
    assert "; its band holds zero everywhere; beneath that the change of shape: offset" in alt
    assert "taken out; its band leaves zero, farthest at 1566.2 eV and in one more stretch." in alt


def test_a_band_that_is_not_judged_is_not_said_to_hold():
    waiting = samples.curves() | {"judged": False, "passed": [], "beyond": {}}
    alt = figure(samples.real(curves=waiting)).alt
    assert "its band is not judged yet" in alt and "holds zero" not in alt
    nothing = waiting | {"band_of": None, "shape": None}
    assert "its band" not in figure(samples.real(curves=nothing)).alt


def test_two_hairlines_show_where_a_ratio_is_read():
    assert figure(samples.real()).panels[0].hairlines == pytest.approx((1566.2, 1568.2))


def test_a_wide_window_is_shown_by_both_its_ends():
    area = {"windows": [[1565.0, 1580.0]]}
    assert hairlines(area, 1558.0, 1598.0) == (1565.0, 1580.0)
    assert hairlines(area, 1570.0, 1598.0) == (1580.0,)
    assert hairlines(None, 1558.0, 1598.0) == ()


def test_a_step_is_the_scale_bar():
    bar = figure(samples.real()).panels[0].bar
    assert (bar.height, bar.words) == (1.0, "one edge step")


def test_what_was_declared_before_and_what_was_found_after_are_told_apart():
    assert figure(samples.real()).panels[1].stamp == "declared before"
    assert figure(samples.mixed()).panels[1].stamp == "found after"


def test_missing_numbers_break_the_line_and_end_the_band():
    both = samples.curves()
    both["control"]["value"][7] = None
    for name in ("control", "treated", "difference"):
        both[name]["low"] = both[name]["high"] = [None] * len(both["energy_ev"])
    plot = figure(samples.real(curves=both)).panels[0]
    assert math.isnan(marks(plot, 0, Line)[0].y[7])
    assert not marks(plot, 0, Band) and not marks(plot, 1, Band)
    assert marks(plot, 0, Label)[0].words == "nothing repeated yet: no band"


def test_a_band_that_says_almost_anything_does_not_press_the_curves_flat():
    wide = samples.curves()
    wide["difference"] = samples.curves(half=20.0)["difference"]
    plot = figure(samples.real(curves=wide)).panels[0]
    upper, lower, _ = plot.strips
    line = marks(plot, 1, Line)[0]
    assert lower.high - lower.low < 1.6 * (upper.high - upper.low)
    assert lower.low < min(line.y) and max(line.y) < lower.high
    assert lower.note.startswith("the band is taller than this strip")
    assert max(marks(plot, 1, Band)[0].high) > 10, "the data keep the whole band"


def test_without_curves_the_panel_says_what_is_missing_and_the_dots_stay():
    left, right = figure(samples.real(curves=None)).panels
    assert isinstance(left, Blank) and left.state == "cannot-tell" and "Al K" in left.words
    assert isinstance(right, Ladder) and right.rungs[2].rows


def test_with_nothing_at_all_one_page_says_so_and_what_to_do():
    (panel,) = figure(samples.empty()).panels
    assert panel.state == "cannot-tell"
    assert panel.act == "Measure {arm:fired} at Si K."


def test_the_alternative_text_names_arms_rungs_feature_and_when_it_was_declared():
    alt = figure(samples.mixed()).alt
    for words in (
        "{arm:raw}",
        "{arm:fired}",
        "more than other units: cannot be tested",
        "1566.2",
        "Found after",
    ):
        assert words in alt


def test_four_arms_keep_their_order_of_signs():
    plot, ladder = figure(samples.four_arms()).panels
    assert [line.role for line in marks(plot, 0, Line)] == ["control", "treated", "third", "fourth"]
    assert {dot.role for dot in ladder.rungs[2].rows[0].dots} == {"control", "treated", "third", "fourth"}


def test_the_ruler_and_the_words_name_the_edge():
    told = figure(samples.real())
    assert told.panels[0].ruler.words == "photon energy, eV, at Al K"
    assert "Al K" in told.alt


def test_a_height_that_was_found_is_shown_where_it_is_read():
    found = {"energy_ev": 1566.4, "words": "height at 1566.4 eV, where they differ most"}
    told = figure(samples.real(feature=None, found=found, declared="after"))
    assert told.panels[0].hairlines == (1566.4,)
    assert "Dots: height at 1566.4 eV" in told.alt and "Found after" in told.alt


def test_whoever_cannot_see_it_hears_that_a_rung_is_frozen():
    told = "The third rung is frozen since the look at two pairs: every planned look is taken."
    assert told.rstrip(".") in figure(samples.real(frozen=told)).alt
    assert "frozen" not in figure(samples.real()).alt
