"""A guess drawn over one sheet stays in its place over the other."""

from __future__ import annotations

import re

import sample_answers as samples

from edgeshift.drawing import picture
from edgeshift.figures import expected, figure_of
from edgeshift.figures.revealed import curves_and_ladder, two_sheets
from edgeshift.records.figure import Ladder, Line, Plot

FRAME = re.compile(r"<rect [^>]*data-(?:plot|strip)[^>]*>")


def sheets(lift: float = 0.0):
    detail = dict(samples.real().detail)
    curves = detail["curves"]
    treated = {**curves["treated"], "value": [v and v + lift for v in curves["treated"]["value"]]}
    detail["curves"] = {**curves, "treated": treated}
    curve = tuple(curves["energy_ev"]), tuple(curves["control"]["value"])
    return two_sheets(expected("Al K", "step", (0, 1), curve, None, "raw"), detail, "both"), treated["value"]


def test_both_sheets_have_one_frame_to_the_pixel():
    (empty, shown), _ = sheets()
    frames = [FRAME.findall(picture(figure, 390, 440)) for figure in (empty, shown)]
    assert len(frames[0]) == 2 and frames[0] == frames[1]


def test_the_first_sheet_tells_nothing_of_the_treated_curve():
    (empty, _), _ = sheets()
    treated = [m for m in empty.panels[0].strips[0].marks if getattr(m, "role", "") == "treated"]
    assert [type(one) for one in treated] == [Line]
    assert all(value != value for value in treated[0].y)


def test_the_frame_holds_a_treated_curve_that_is_far_above():
    (empty, shown), values = sheets(lift=9.0)
    strip = empty.panels[0].strips[0]
    assert strip.high > max(values) and shown.panels[0].strips[0].high == strip.high


def test_a_comparison_in_short_keeps_its_curves_and_its_rungs():
    short = curves_and_ladder(figure_of(samples.real()))
    assert [type(panel) for panel in short.panels] == [Plot, Ladder]
    assert len(short.panels[0].strips) == 1
