"""Holm over edges that were looked at different numbers of units."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import EDGE, curve, edge_set, experiment

from edgeshift.questions.real import Look, Standing, answers
from edgeshift.recipe.experiment import Feature
from edgeshift.records.comparison import Comparison
from edgeshift.records.scan import Place
from edgeshift.wording.looks import LEVEL_OF_FAMILY

FEATURE = Feature(kind="height", windows=((1567.9, 1568.1),))
UNITS = {arm: [(f"{arm[0].upper()}{n}", None) for n in range(4)] for arm in ("raw", "fired")}
LEVEL = 0.05


def units(effect: float, seed: int):
    """Four units an arm, unit scatter 0.1."""
    rng = np.random.default_rng(seed)
    made = [
        (Place(u, "1", u, arm), [curve(1 + effect * (arm == "fired") + 0.1 * rng.standard_normal())])
        for arm, listed in UNITS.items()
        for u, _ in listed
    ]
    return edge_set(made)


def stands(edge_set, spent: float | None) -> Standing:
    """After one look at everything, or after none."""
    if spent is None:
        return Standing(())
    return Standing((Look(edge_set.edge, "raw", "fired", 4, 4, spent, 9, 9),), edge_set)


def asked(sets: dict, spent: dict[str, float | None], roles: dict | None = None, **text):
    """Answers where each edge's one look spent so much; None: no look yet."""
    named = {edge: replace(found, edge=edge) for edge, found in sets.items()}
    compared = {
        edge: Comparison(edge, FEATURE, declared="before", role=(roles or {}).get(edge, "family"))
        for edge in sets
    }
    standings = {edge: {"fired": stands(named[edge], level)} for edge, level in spent.items()}
    found = answers(named, experiment(UNITS, **text), compared, None, standings)
    return {a.edge: a for a in found if a.edge}


def test_one_edge_alone_is_judged_at_what_its_look_spent():
    found = asked({EDGE: units(0.3, 1)}, {EDGE: LEVEL / 3})[EDGE].detail
    assert found["levels"]["units"] == pytest.approx(LEVEL / 3)
    assert found["levels"]["scans"] == LEVEL
    assert (found["rungs"]["units"] == "lit") == (found["chance"] <= LEVEL / 3)


def test_the_first_step_is_taken_by_the_chance_that_is_smallest_for_its_own_look():
    """The Fe L chance is the smaller one, but its look spent so little that Al K comes first."""
    sets = {EDGE: units(0.5, 2), "Fe L": units(1.2, 4)}
    chances = {e: a.detail["chance"] for e, a in asked(sets, dict.fromkeys(sets, LEVEL)).items()}
    assert chances["Fe L"] < chances[EDGE] < LEVEL / 2
    share = chances["Fe L"] / chances[EDGE] / 4
    found = asked(sets, {EDGE: LEVEL, "Fe L": share * LEVEL})
    levels = {edge: a.detail["levels"]["units"] for edge, a in found.items()}
    assert levels == {EDGE: pytest.approx(LEVEL / 2), "Fe L": pytest.approx(share * LEVEL)}


def test_the_decision_and_the_band_stand_at_one_level():
    for seed in range(6):
        sets = {EDGE: units(0.3, seed), "Fe L": units(0.2, seed + 50)}
        for found in asked(sets, {EDGE: LEVEL / 3, "Fe L": 2 * LEVEL / 3}).values():
            feature = found.detail["feature"]
            outside = feature["low"] > 0 or feature["high"] < 0
            assert outside == (found.detail["rungs"]["units"] == "lit")


def test_a_control_edge_stands_at_its_own_looks_level():
    sets = {EDGE: units(0.3, 1), "K L": units(0.0, 3), "Si K": units(0.0, 5)}
    roles = {"K L": "control", "Si K": "outside"}
    found = asked(sets, {EDGE: LEVEL, "K L": LEVEL / 3, "Si K": LEVEL / 2}, roles)
    levels = [found[edge].detail["levels"]["units"] for edge in sets]
    assert levels == pytest.approx([LEVEL, LEVEL / 3, LEVEL / 2])


def test_a_control_edge_that_moved_at_its_look_warns_and_before_any_look_does_not():
    sets, roles = {EDGE: units(0.3, 1), "K L": units(1.0, 3)}, {"K L": "control"}
    for spent, warned in ((LEVEL / 3, True), (None, False)):
        found = asked(sets, {EDGE: LEVEL, "K L": spent}, roles)[EDGE]
        assert any("should not have moved" in caution for caution in found.cautions) == warned


@pytest.mark.parametrize("spent", [None, LEVEL])
def test_an_edge_of_the_family_costs_the_same_before_and_after_it_is_judged(spent):
    """Or the third rung of the first edge would change between its looks."""
    sets = {EDGE: units(0.5, 2), "Fe L": units(0.0, 3)}
    found = asked(sets, {EDGE: LEVEL, "Fe L": spent})
    assert found[EDGE].detail["levels"]["units"] == pytest.approx(LEVEL / 2)


def test_an_edge_that_the_text_plans_counts_from_the_start():
    edges = [{"edge": EDGE}, {"edge": "Fe L"}, {"edge": "K L", "role": "control"}]
    found = asked({EDGE: units(0.5, 2)}, {EDGE: LEVEL}, edges=edges)
    assert found[EDGE].detail["levels"]["units"] == pytest.approx(LEVEL / 2)


def test_a_level_that_follows_from_the_rest_of_the_family_says_so():
    """Of every judged edge of the family, the last of Holm's steps too; of no other."""
    sets = {EDGE: units(1.2, 2), "Fe L": units(1.2, 4), "Si K": units(0.0, 5), "K L": units(0.0, 3)}
    roles = {"K L": "control"}
    looked = {EDGE: LEVEL, "Fe L": LEVEL, "Si K": None, "K L": LEVEL}
    found = asked(sets, looked, roles)
    told = [LEVEL_OF_FAMILY in found[edge].cautions for edge in sets]
    assert told == [True, True, False, False]
    alone = asked({EDGE: sets[EDGE], "K L": sets["K L"]}, {EDGE: LEVEL, "K L": LEVEL}, roles)
    assert LEVEL_OF_FAMILY not in alone[EDGE].cautions
