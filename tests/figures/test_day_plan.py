"""A planned day goes through the same lanes as the lived one, all of it ahead."""

import pytest

from edgeshift.drawing import picture
from edgeshift.figures.day_plan import day_plan, planned_moments
from edgeshift.planning.budget import Now, budget
from edgeshift.planning.scan_lists import scan_lists
from edgeshift.recipe.experiment import Experiment

ZERO = "2026-03-14T12:00:00+01:00"
TEXT = Experiment.model_validate({
    "arms": [{"name": "raw", "control": True}, {"name": "fired"}],
    "units": [{"name": "A", "arm": "raw"}, {"name": "B", "arm": "fired"}],
    "specimens": [{"name": "A-RAW", "unit": "A"}, {"name": "B-FIRED", "unit": "B"}],
    "edges": [{"edge": "Al K"}, {"edge": "K L", "role": "control"}],
})  # fmt: skip


BEGIN = Now()


def planned(now=BEGIN):
    return budget(TEXT, scan_lists(TEXT), now)


def test_every_stretch_but_spare_time_stands_in_its_lane():
    kinds = {one.words: one.kind for one in planned_moments(planned(), ZERO)}
    after = planned(Now(300.0, {"Al K": 4}, begun=True, eaten=True, decided=True))
    assert "spare" in [one.kind for one in after.stretches]
    assert len(planned_moments(after, ZERO)) == len(after.stretches) - 1
    assert kinds["lunch"] == kinds["arrive, mount"] == "people" and kinds["pump"] == "vacuum"
    assert kinds["Al K"] == kinds["K L"] == kinds["closing check"] == "plan"
    assert kinds["decision meeting"] == "decision" and kinds["group's choice"] == "people"
    assert len(kinds) == len(planned().stretches)
    assert all(one.planned for one in planned_moments(planned(), ZERO))


def test_the_day_falls_where_the_plan_begins():
    (line,) = day_plan(planned(), ZERO, 480.0).panels
    assert (line.at, line.left, line.offset_min) == ("12:00", "8 h are ours", 60)
    (rest,) = day_plan(planned(Now(330.0, begun=True, eaten=True)), ZERO, 480.0).panels
    assert (rest.at, rest.left) == ("17:30", "2 h 30 min are ours")


def test_without_a_typed_end_the_line_counts_hours():
    (line,) = day_plan(planned(), None, 480.0).panels
    assert line.at == "0:00"


@pytest.mark.parametrize("width", [1280, 700, 390])
def test_what_lies_ahead_is_drawn_with_its_words(width):
    drawn = picture(day_plan(planned(), ZERO, 480.0), width, 230)
    assert drawn.count('data-kind="plan"') == 5 and 'data-kind="vacuum"' in drawn
    assert "planned" in drawn
    if width == 1280:
        assert ">Al K<" in drawn and ">lunch<" in drawn and ">decision meeting<" in drawn
