"""Amounts between arms: units alone, batches once, every look paid for, and one reference that judges."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from edgeshift.questions.here.amounts import Ratio
from edgeshift.questions.here.between_arms import AmountLooks, compared, due, judging, looks_of
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.event import Event


def text(pairs: str = "ABC", planned: int | None = None, batch: str | None = None) -> Experiment:
    units = [
        {"name": f"{arm} {pair}", "arm": arm, "pair": pair}
        | ({"batch": batch} if batch and arm == "fired" else {})
        for arm in ("raw", "fired")
        for pair in pairs
    ]
    return Experiment.model_validate(
        {
            "arms": [{"name": "raw", "control": True}, {"name": "fired"}],
            "units": units,
            "specimens": [{"name": unit["name"], "unit": unit["name"]} for unit in units],
            "edges": [{"edge": "Fe L"}, {"edge": "Al K"}],
            "plan": {"units_per_arm": planned},
        }
    )


def ratios(pairs: str, times: float = 1.0, element: str = "Fe", reference: str = "Al") -> list[Ratio]:
    """Pairs that share a dig's own level; the fired half has `times` as much, units scatter by 3 %."""
    found = []
    for pair in pairs:
        rng = np.random.default_rng(ord(pair))
        dig = math.exp(0.5 * rng.standard_normal())
        for arm, factor in (("raw", 1.0), ("fired", times)):
            value = 0.1 * dig * factor * math.exp(0.03 * rng.standard_normal())
            found.append(
                Ratio(f"{arm} {pair}", "s1", element, reference, value, 0.01, 0.1, 0.5, 0.1, 0.0, ("a", "b"))
            )
    return found


def book(*looks) -> list[Event]:
    return [Event(100 + n, "", "look", "tool", "", look.payload) for n, look in enumerate(looks)]


def standing(events, experiment, then, reference="Al", **more) -> dict:
    taken = looks_of(events, experiment, "Fe", "fired", reference)
    judges = judging(events, "fired", reference)
    return {("Fe", "fired"): AmountLooks(taken, tuple(then), judges, **more)}


def test_a_look_is_due_for_every_new_complete_pair_and_all_together_spend_the_level():
    experiment, taken = text(planned=3), []
    for pairs in ("A", "AB", "AB", "ABC"):
        taken += due(ratios(pairs), experiment, book(*taken), 9)
    assert [(look.edge, look.units) for look in taken] == [("Fe/Al", 2), ("Fe/Al", 3)]
    assert sum(look.level for look in taken) == pytest.approx(experiment.recipe.compare.level)
    assert {look.payload["question"] for look in taken} == {"here"}


def test_between_looks_the_judgement_rests_on_what_was_there_then():
    experiment = text(planned=3)
    (first,) = due(ratios("AB", 1.3), experiment, [], 9)
    now = ratios("ABC", 30.0)
    (told,) = compared(now, experiment, "Al", standing(book(first), experiment, ratios("AB", 1.3)))
    assert told.looks == 1 and told.units == (2, 2)
    assert told.times == pytest.approx(1.3, rel=0.1), "not the thirtyfold of later"
    assert told.level == pytest.approx(first.level), "one element, one treated arm"


def test_before_the_first_look_amounts_wait_for_a_unit():
    experiment = text(planned=3)
    (told,) = compared(ratios("A"), experiment, "Al", {})
    assert (told.state, told.why) == ("waits", "unit") and math.isnan(told.times)
    (later,) = compared(ratios("AB"), experiment, "Al", {}, live=False)
    assert later.why == "not-looked", "a rewound question takes no look"
    (shut,) = compared(ratios("AB"), experiment, "Al", standing([], experiment, (), unwritten=True))
    assert shut.why == "unwritten"


def test_another_reference_is_another_look_and_judges_nothing():
    experiment = text(planned=3)
    events = book(*due(ratios("AB"), experiment, [], 9))
    other = ratios("ABC", 3.0, reference="Si")
    assert due(other, experiment, events, 12) == []
    (told,) = compared(other, experiment, "Si", standing(events, experiment, (), "Si"))
    assert (told.state, told.why, told.reference) == ("waits", "other-reference", "Al")


@pytest.mark.parametrize(("times", "state"), [(1.0, "not-shown"), (1.5, "lit")])
def test_pairs_are_tested_within_the_pair(times, state):
    (told,) = compared(ratios("ABC", times), text(), "Al")
    assert (told.state, told.paired, told.units) == (state, True, (3, 3))
    assert told.low < times < told.high


def test_units_of_one_batch_count_once_and_cannot_be_tested():
    (told,) = compared(ratios("ABC", 1.5), text(batch="one fire"), "Al")
    assert (told.state, told.units, told.paired) == ("cannot-test", (3, 1), False)


def test_every_element_that_is_planned_or_measured_shares_the_level():
    both = [*ratios("ABC", 1.5), *ratios("ABC", element="Ti")]
    alone, shared = (compared(found, text(), "Al")[0] for found in (ratios("ABC", 1.5), both))
    assert shared.level == pytest.approx(alone.level / 2)
    assert shared.high - shared.low > alone.high - alone.low


def test_equal_arms_are_lit_in_no_more_shifts_than_the_level_says_however_often_one_looks():
    """400 shifts of three to six unpaired units an arm, looked at with every new one."""
    units = "ABCDEF"
    experiment = text(units, planned=6)
    bare = [unit.model_copy(update={"pair": None}) for unit in experiment.units]
    experiment = experiment.model_copy(update={"units": tuple(bare)})
    rng, lit = np.random.default_rng(5), 0
    for _ in range(400):
        whole = [replace(each, value=math.exp(0.2 * rng.standard_normal())) for each in ratios(units)]
        events: list[Event] = []
        ever = False
        for count in range(2, 7):
            now = [each for each in whole if each.specimen[-1] in units[:count]]
            events += book(*due(now, experiment, events, 9))
            (told,) = compared(now, experiment, "Al", standing(events, experiment, now))
            ever |= told.state == "lit"
        lit += ever
    assert lit / 400 < 0.075, lit
