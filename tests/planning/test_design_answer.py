"""What a design can show, in numbers: units, smallest chance, what would be found, the level it can reach."""

from __future__ import annotations

import numpy as np
import pytest
from planning.test_designs import WRITTEN, judged
from planning.test_interview import PAIRS

from edgeshift.formats.experiment_text import load
from edgeshift.numerics.power import detectable
from edgeshift.numerics.two_groups import pooled_t
from edgeshift.planning.design_faults import LEVEL, POWER
from edgeshift.questions.real.nest import by_pair
from edgeshift.wording.design import FAULTS

SOUND = WRITTEN["before: three true pairs of river clay"]["answers"]


def answer(changes=(), design=SOUND):
    return judged({**design, **dict(changes)}).answer


def number(told, code: str) -> float:
    return next(fact.value for fact in told.because if fact.code == code)


def test_three_pairs_reach_a_quarter_and_say_what_they_would_find():
    told = answer()
    assert number(told, "units-counted") == 3
    assert number(told, "smallest-chance") == 0.25
    assert number(told, "detectable") == pytest.approx(detectable(3, 3, True, LEVEL, POWER))
    assert number(told, "detectable-shared") == pytest.approx(detectable(3, 3, True, LEVEL / 2, POWER))
    assert number(told, "detectable-at") == pytest.approx(0.05 * number(told, "detectable"))


@pytest.mark.parametrize(("units", "smallest"), [(2, 1 / 3), (3, 0.1), (4, 1 / 35)])
def test_arms_without_pairs_reach_what_shuffling_of_labels_can_give(units, smallest):
    names = ", ".join(f"u{n}" for n in range(units)), ", ".join(f"v{n}" for n in range(units))
    told = judged({**PAIRS, "pairs": "no", "units of raw": names[0], "units of fired": names[1]}).answer
    assert number(told, "smallest-chance") == pytest.approx(smallest)


def test_what_the_answer_promises_is_found_four_times_in_five():
    told = answer(design=WRITTEN["before: raw and three heats, four fires each"]["answers"])
    chance, away = np.random.default_rng(7), number(told, "detectable")
    found = [pooled_t(chance.normal(size=4), chance.normal(size=4) + away).p < LEVEL for _ in range(3000)]
    assert np.mean(found) == pytest.approx(POWER, abs=0.03)


def test_one_fire_gets_no_chance_and_no_size_at_all():
    told = answer({"together in fired": "all", "apart instead of fired": "0"})
    assert told.verdict == "cannot-show"
    assert not {"smallest-chance", "detectable"} & {fact.code for fact in told.because}
    (comparison,) = told.detail["comparisons"]
    assert comparison["smallest_p"] is comparison["detectable_scatters"] is None


@pytest.mark.parametrize(
    ("could", "act"),
    [
        ("0", "speak of this one run of 'fired' only"),
        ("2", "then 3 units count"),
        ("", "Give at least three units of 'fired' a fire"),
    ],
)
def test_the_next_act_knows_what_can_still_be_done_before_travel(could, act):
    told = answer({"together in fired": "all", "apart instead of fired": could})
    assert any(act in each for each in told.would_change_it)


@pytest.mark.parametrize(
    ("changes", "level"),
    [
        ({}, 5),
        ({"control edge": "none", "standard of K L": "feldspar"}, 4),
        ({"blank": "none", "control edge": "none", "standard of K L": "feldspar"}, 3),
        ({"blank": "none"}, 5),
        ({"order": "arms"}, 2),
        ({"together in fired": "A+B", "apart instead of fired": "1"}, 2),
    ],
)
def test_the_level_is_the_highest_that_lacks_nothing(changes, level):
    assert answer(changes).detail["level"] == level


def test_what_was_found_and_not_made_never_reaches_a_cause():
    told = answer(design=WRITTEN["after: oysters and mussels of five beaches"]["answers"])
    assert told.detail["level"] == 4 and told.detail["missing"]["5"] == ["found"]


def test_every_fault_names_the_answer_that_put_it_there_and_a_next_act():
    for each in WRITTEN.values():
        for fault in judged(each["answers"]).answer.detail["faults"]:
            assert f'You said "{fault["key"]}: ' in fault["sentence"] and fault["act"].endswith(".")


def test_every_kind_of_fault_was_planted_in_some_design():
    assert {code for each in WRITTEN.values() for code in each["faults"]} == set(FAULTS)


def test_what_nobody_said_is_open_and_no_fault():
    told = answer({"steps apart": "", "together in fired": ""})
    assert told.verdict == "cannot-tell" and told.detail["open"] == ["together in fired", "steps apart"]
    assert told.detail["faults"] == [] and "Answer 'steps apart' too." in told.would_change_it


def test_one_source_is_a_limit_and_no_fault():
    told = answer({"one source": "yes"})
    assert told.verdict == "holds" and "one-source" in {fact.code for fact in told.because}


def test_uneven_pairs_are_whole_pairs_in_the_text_too():
    made = judged(WRITTEN["before: four raw digs and three fired ones"]["answers"])
    units = load(made.text, "made").units
    raw, fired = (tuple(unit for unit in units if unit.arm == arm) for arm in ("raw", "fired"))
    left, right, paired = by_pair(raw, fired)
    assert paired and len(left) == len(right) == 3


def test_the_text_holds_standards_blanks_the_control_edge_and_what_matters():
    experiment = load(judged(SOUND).text, "made")
    kinds = {one.name: one.kind for one in experiment.specimens}
    assert kinds["kaolinite"] == kinds["haematite"] == "standard" and kinds["bare tape"] == "blank"
    assert experiment.edge_plan("K L").role == "control" and experiment.edge_plan("Al K").matters == 0.3
    assert experiment.plan.spots_per_unit == experiment.plan.scans_per_spot == 2
