"""When a look at the units is due, and what it may spend."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import EDGE, curve, edge_set, experiment, passed, scan

from edgeshift.questions.real import looks
from edgeshift.questions.real.judging import Judged, judged_by_looks
from edgeshift.questions.real.looks import Look, Standing
from edgeshift.questions.real.nest import nest
from edgeshift.records.comparison import Comparison
from edgeshift.records.event import Event
from edgeshift.records.once import Once
from edgeshift.records.scan import Place
from edgeshift.wording import looks as words

LEVEL = 0.05
PAIRS = {"raw": [("RA", "A"), ("RB", "B"), ("RC", "C")], "fired": [("FA", "A"), ("FB", "B"), ("FC", "C")]}
FREE = {arm: [(unit, None) for unit, _ in listed] for arm, listed in PAIRS.items()}


def spent(*units_and_levels: tuple[int, float], planned: int = 4) -> list[Look]:
    return [Look(EDGE, "raw", "fired", n, planned, level, 9) for n, level in units_and_levels]


def series(planned: int, at: list[int], level: float = LEVEL) -> list[float]:
    """The levels of looks taken at these numbers of units."""
    taken: list[Look] = []
    for units in at:
        taken += spent((units, looks.level_of_look(units, planned, level, taken)), planned=planned)
    return [look.level for look in taken]


@pytest.mark.parametrize("planned", [2, 3, 4, 6, 8])
def test_every_possible_look_has_an_equal_share_and_all_of_them_the_whole_level(planned):
    levels = series(planned, list(range(2, planned + 1)))
    assert levels == pytest.approx([LEVEL / (planned - 1)] * (planned - 1))


def test_eight_planned_units_leave_a_seventh_of_the_level_for_each_look():
    assert series(8, [2])[0] == pytest.approx(0.05 / 7)


def test_looks_that_were_never_taken_pass_their_share_on():
    assert series(4, [3, 4]) == pytest.approx([2 * LEVEL / 3, LEVEL / 3])
    assert series(3, [3]) == pytest.approx([LEVEL])
    assert series(4, [2, 4]) == pytest.approx([LEVEL / 3, 2 * LEVEL / 3])


@pytest.mark.parametrize("at", [[2, 3, 4], [2, 4], [3, 5, 8], [4, 5, 6, 7], [9], [2, 9]])
def test_no_order_of_looks_spends_more_than_the_level(at):
    assert sum(series(4, at)) <= LEVEL * (1 + 1e-12)


def test_no_number_of_units_is_looked_at_twice():
    earlier = spent((3, 0.03))
    assert looks.level_of_look(3, 4, LEVEL, earlier) == 0.0
    assert looks.level_of_look(2, 4, LEVEL, earlier) == 0.0


def test_beyond_the_plan_only_what_was_not_spent_is_left():
    whole = spent((2, LEVEL / 2), (3, LEVEL / 2), planned=3)
    assert looks.level_of_look(4, 3, LEVEL, whole) == 0.0
    half = spent((2, LEVEL / 2), planned=3)
    assert looks.level_of_look(5, 3, LEVEL, half) == pytest.approx(LEVEL / 2)


def test_the_plan_of_the_first_look_stays_in_force():
    earlier = spent((2, LEVEL / 3), planned=4)
    for later_plan in (2, 3, 20):
        assert looks.level_of_look(3, later_plan, LEVEL, earlier) == pytest.approx(LEVEL / 3)


@pytest.mark.parametrize(("units", "planned"), [(0, 4), (1, 4), (2, 1), (3, 0)])
def test_fewer_than_two_units_or_planned_units_are_no_look(units, planned):
    assert looks.level_of_look(units, planned, LEVEL, ()) == 0.0


def test_a_level_that_was_lowered_below_what_was_spent_leaves_nothing():
    assert looks.level_of_look(3, 4, 0.01, spent((2, 0.03))) == 0.0


def test_the_next_look_is_named_until_all_is_spent():
    assert looks.next_look_at(4, LEVEL, ()) == 2
    assert looks.next_look_at(4, LEVEL, spent((2, LEVEL / 3))) == 3
    assert looks.next_look_at(4, LEVEL, spent((4, LEVEL))) is None
    assert looks.next_look_at(1, LEVEL, ()) is None


def spots(arms: dict, scans: dict[str, list[int]]):
    """An edge set with so many scans on each spot of a unit."""
    made = [
        (Place(unit, str(n), unit, arm), [curve(1.0) + 0.01 * k for k in range(number)])
        for arm, listed in arms.items()
        for unit, _ in listed
        for n, number in enumerate(scans.get(unit, []))
    ]
    return edge_set(made)


def now(arms: dict, scans: dict[str, list[int]], **plan: int) -> int:
    return looks.complete_now(spots(arms, scans), experiment(arms, plan=plan), "raw", "fired")


def test_a_unit_is_complete_with_all_its_spots_and_all_their_scans():
    full = {unit: [2, 2] for unit in ("RA", "RB", "FA", "FB")}
    plan = {"spots_per_unit": 2, "scans_per_spot": 2}
    assert now(FREE, full, **plan) == 2
    assert now(FREE, {**full, "RB": [2, 1]}, **plan) == 1
    assert now(FREE, {**full, "RB": [4]}, **plan) == 1
    assert now(FREE, {**full, "RB": [1, 2, 2]}, **plan) == 2


FULL = {unit: [2, 2] for unit in ("RA", "RB", "FA", "FB")}
PLAN = {"spots_per_unit": 2, "scans_per_spot": 2}


def one_short(*judged: str):
    """All complete but for one scan of RB, which the tool set aside; a person judged it as said."""
    short = spots(FREE, {**FULL, "RB": [2, 1]})
    lost = passed(scan("lost", place=Place("RB", "1", "RB", "raw")))
    given_up = frozenset({"lost"} if "set-aside" in judged else ())
    return replace(short, passes=(lost,), set_aside=frozenset({"lost"}), given_up=given_up)


def test_a_unit_with_a_scan_that_only_the_tool_set_aside_is_not_complete_and_waits_for_it():
    text = experiment(FREE, plan=PLAN)
    assert looks.complete_now(one_short(), text, "raw", "fired") == 1
    assert looks.full_spots(one_short(), text)["RB"] == 1
    assert looks.waits_for_a_scan(one_short(), text, ("raw", "fired"))
    assert not looks.waits_for_a_scan(one_short(), text, ("fired",))


def test_a_unit_with_a_scan_that_a_person_set_aside_is_complete_and_waits_for_nothing():
    text = experiment(FREE, plan=PLAN)
    assert looks.complete_now(one_short("set-aside"), text, "raw", "fired") == 2
    assert not looks.waits_for_a_scan(one_short("set-aside"), text, ("raw", "fired"))


def test_a_unit_whose_scan_is_still_to_come_waits_for_no_scan_that_was_set_aside():
    short = spots(FREE, {**FULL, "RB": [2, 1]})
    assert not looks.waits_for_a_scan(short, experiment(FREE, plan=PLAN), ("raw", "fired"))


def test_the_next_act_where_a_unit_waits_for_a_scan_is_to_repeat_it_or_to_give_it_up():
    shown = Judged(nest(one_short(), experiment(FREE, plan=PLAN), ("raw", "fired"), None, Once(None)))
    for judged, act in (((), words.REPEAT_OR_GIVE_UP), (("set-aside",), "")):
        found = judged_by_looks(
            one_short(*judged),
            experiment(FREE, plan={**PLAN, "units_per_arm": 2}),
            shown,
            Standing(()),
            Comparison(EDGE),
            Once(None),
        )
        assert found.act == act


def test_unpaired_the_smaller_arm_counts():
    assert now(FREE, {"RA": [1], "RB": [1], "RC": [1], "FA": [1], "FB": [1]}) == 2


def test_paired_only_whole_pairs_count():
    assert now(PAIRS, {"RA": [1], "RB": [1], "FA": [1], "FC": [1]}) == 1
    assert now(PAIRS, {"RA": [1], "RB": [1], "FB": [1], "FA": [1]}) == 2


def test_halves_of_different_pairs_are_nothing_to_look_at():
    assert now(PAIRS, {"RA": [1], "FB": [1]}) == 0


def test_one_arm_alone_is_nothing_to_look_at():
    assert now(PAIRS, {"RA": [1], "RB": [1]}) == 0


def test_the_plan_says_how_many_units_and_else_the_text():
    uneven = {"raw": FREE["raw"], "fired": FREE["fired"][:2]}
    said = [experiment(arms, plan=plan) for arms, plan in (
        (FREE, {"units_per_arm": 8}), (FREE, {}), (uneven, {}), (PAIRS, {}),
        ({**PAIRS, "fired": PAIRS["fired"][1:]}, {}),
    )]  # fmt: skip
    assert [looks.planned_units(one, EDGE, "raw", "fired") for one in said] == [8, 3, 2, 3, 2]


def test_an_edge_may_have_a_plan_of_its_own():
    one = experiment(FREE, plan={"units_per_arm": 3}, edges=[{"edge": EDGE, "plan": {"spots_per_unit": 2}}])
    full = {unit: [1, 1] for unit, _ in (*FREE["raw"], *FREE["fired"])}
    assert looks.complete_now(spots(FREE, full), one, "raw", "fired") == 3
    assert looks.complete_now(spots(FREE, {**full, "RA": [2]}), one, "raw", "fired") == 2
    assert looks.planned_units(one, EDGE, "raw", "fired") == 3


def test_a_look_comes_back_from_the_book_as_it_went_in():
    (look,) = spent((2, 0.01))
    lines = [
        Event(7, "2026-03-01T08:00:00Z", "look", "tool", "", look.payload),
        Event(8, "2026-03-01T08:00:00Z", "look", "tool", "", {**look.payload, "edge": "Fe L"}),
        Event(9, "2026-03-01T08:00:00Z", "look", "tool", "", {**look.payload, "treated": "smoked"}),
        Event(10, "2026-03-01T08:00:00Z", "look", "tool", "", {"question": "begin"}),
    ]
    (found,) = looks.looks_in(lines, EDGE, "fired", ["fired", "smoked"])
    assert (found.number, found.payload) == (7, look.payload)


def entered(*looks_of: tuple[int, str]) -> list[Event]:
    """A book of looks at Al K: (line, treated arm)."""
    (look,) = spent((2, 0.01))
    return [
        Event(line, "2026-03-01T08:00:00Z", "look", "tool", "", {**look.payload, "treated": arm})
        for line, arm in looks_of
    ]


@pytest.mark.parametrize(
    ("named", "numbers"),
    [
        (["baked"], [7, 9]),
        (["baked", "fired"], [9]),
        (["baked", "smoked"], [7, 9]),
    ],
)
def test_a_look_at_an_arm_that_the_text_no_longer_names_counts_for_what_is_looked_at_since(named, numbers):
    lines = entered((7, "fired"), (9, "baked"), (11, "dropped"))
    assert [look.number for look in looks.looks_in(lines, EDGE, "baked", named)] == numbers


def test_an_arm_without_looks_of_its_own_inherits_all_of_those():
    lines = entered((7, "fired"), (9, "dropped"))
    assert [look.number for look in looks.looks_in(lines, EDGE, "baked", ["baked"])] == [7, 9]


def test_equal_shares_keep_false_alarms_below_the_level():
    """Welch's t at every complete unit, 2 to 6 of 6 planned, no difference: some look lights in under 5 %."""
    from edgeshift.numerics.two_groups import welch_t

    rng, alarms, runs = np.random.default_rng(20263), 0, 1500
    for _ in range(runs):
        control, treated = rng.standard_normal((2, 6))
        found = (welch_t(treated[:n], control[:n]) for n in range(2, 7))
        alarms += any(one.p <= LEVEL / 5 for one in found)
    assert alarms / runs < LEVEL + 2 * np.sqrt(LEVEL * (1 - LEVEL) / runs)
