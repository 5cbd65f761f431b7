"""Every packaged scenario holds, fits its day, and says by data alone what counts as caught."""

import numpy as np
import pytest

from edgeshift.errors import TextRefused
from edgeshift.practice import SCENARIOS, planted, scenario_from_text, shift
from edgeshift.practice.schedule import lasts_s, planned
from edgeshift.practice.scoring import TESTS

RULE_KEYS = {
    "question",
    "field",
    "codes",
    "person",
    "verdicts",
    "edge",
    "treated",
    "plant",
    "near",
    "within",
    "only",
    "at_ev",
}


@pytest.mark.parametrize("name", SCENARIOS)
@pytest.mark.parametrize("traps", ["none", "all"])
def test_a_shift_fits_its_hours(scenario_named, name, traps):
    scenario = scenario_named(name)
    names = {trap.name for trap in planted(scenario, traps)}
    for seed in range(3):
        scans = planned(scenario, np.random.default_rng(seed), names)
        measured_min = (scans[-1].starts_s + lasts_s(scenario, scans[-1].edge)) / 60
        day = scenario.day
        assert day.before_min + measured_min + day.after_min <= day.lasts_min
        assert len(scans) <= 52


def rules_of(rules):
    """Every rule, those inside `all` too."""
    for rule in rules:
        yield from rules_of(rule["all"]) if "all" in rule else [rule]


@pytest.mark.parametrize("name", SCENARIOS)
def test_every_trap_says_what_counts_as_caught(scenario_named, name):
    scenario = scenario_named(name)
    assert scenario.traps
    for trap in scenario.traps.values():
        assert trap.words.endswith(".")
        for rule in rules_of(trap.caught):
            assert set(rule) <= RULE_KEYS | set(TESTS)
            assert ("question" in rule) != ("person" in rule)


def test_the_three_shifts_of_the_club_plant_all_twenty_traps(scenario_named):
    names = [
        n for shift_ in ("riverbank", "riverbank-2", "riverbank-3") for n in scenario_named(shift_).traps
    ]
    assert sorted(names, key=lambda name: int(name[1:])) == [f"T{number}" for number in range(1, 21)]


@pytest.mark.parametrize("name", SCENARIOS)
def test_a_trap_touches_the_scans_that_it_names(scenario_named, name):
    scenario = scenario_named(name)
    made = shift(scenario, 1, planted(scenario, "all"))
    for trap in scenario.traps.values():
        by_plant = made.truth.traps[trap.name].by_plant
        assert len(by_plant) == len(trap.plants)
        assert all(by_plant)


def test_the_same_pot_is_the_same_pot_in_a_later_shift(scenario_named):
    first, second = (shift(scenario_named(name), 4).truth for name in ("riverbank", "riverbank-2"))
    assert first.edges["Al K"].units["fired B"].shares == second.edges["Al K"].units["fired B"].shares


def test_a_later_shift_keeps_what_it_does_not_say(scenario_named, riverbank):
    second = scenario_named("riverbank-2")
    assert second.edges["Si K"] == riverbank.edges["Si K"]
    assert set(second.edges["Al K"].shares) > set(riverbank.edges["Al K"].shares)
    assert not set(second.traps) & set(riverbank.traps)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("lost: [0.62, 0.68]", "lots: [0.62, 0.68]", "trap T1 plants 'lots', which is not known"),
        ("only_with: [T2]", "only_with: [T77]", "traps of this scenario, found 'T77'"),
    ],
)
def test_a_trap_that_does_not_hold_is_refused(riverbank_text, old, new, words):
    with pytest.raises(TextRefused, match=words):
        scenario_from_text(riverbank_text.replace(old, new, 1))
