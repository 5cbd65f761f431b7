"""Faults of a text in the words and places of whoever wrote it."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from edgeshift.formats.text_faults import fault_of, place_of
from edgeshift.recipe.experiment import Experiment


def first_fault(content: dict):
    with pytest.raises(ValidationError, match="validation error") as trouble:
        Experiment.model_validate(content)
    return fault_of(trouble.value.errors()[0], Experiment)


def test_places_count_from_one_and_have_no_dots() -> None:
    assert place_of(("edges", 0, "feature", "windows", 1, 0)) == "edge 1, feature, window 2, number 1"
    assert place_of(()) == ""


@pytest.mark.parametrize(
    ("content", "needed", "act"),
    [
        ({"plan": {"spots_per_unit": 0}}, "a number not below 1", "Mend it."),
        ({"plan": {"spots_per_unit": "many"}}, "a whole number", "Mend it."),
        ({"beamline": {"exit_deg": 91}}, "a number not above 90", "Mend it."),
        ({"arms": "raw"}, "a list, as [a, b]", "Mend it."),
        ({"plan": 3}, "'field: value' pairs", "Mend it."),
        ({"arms": [{"name": "a{b}"}]}, "plain words without braces", "Mend it."),
        ({"arms": [{"name": 7}]}, "a word", 'Write it in quotes: "7".'),
        ({"edges": [{"edge": "Alu K"}]}, "an edge as 'Al K'", "Mend it."),
        ({"day": {"ends": "16:00"}}, "a day, a time and its zone, as 2026-03-14T20:00:00+01:00", "Mend it."),
        ({"recipe": {"i0": 1}}, "a field that is known here", "It belongs under recipe, divide."),
        ({"spots_per_unit": 2}, "a field that is known here", "It belongs under plan."),
        ({"zebra": 2}, "a field that is known here", "Take it out."),
    ],
)
def test_what_was_needed_is_said_in_plain_words(content: dict, needed: str, act: str) -> None:
    fault = first_fault(content)
    assert (fault.needed, fault.act) == (needed, act)
    assert "Input should" not in " ".join(map(str, fault))
