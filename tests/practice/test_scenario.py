"""Scenarios are data: one text in, a checked record or a kind refusal out."""

import pytest
from ruamel.yaml import YAML

from edgeshift.errors import TextRefused
from edgeshift.practice import scenario_from_text, shift
from edgeshift.recipe.experiment import Experiment


def test_the_experiment_text_holds_on_its_own(riverbank):
    experiment = Experiment.model_validate(YAML(typ="safe", pure=True).load(riverbank.experiment_text))
    assert experiment == riverbank.experiment
    assert experiment.control.name == "raw"
    assert {unit.pair for unit in experiment.units} == {"A", "B", "C"}
    roles = {plan.edge: plan.role for plan in experiment.edges}
    assert roles == {
        "Al K": "family",
        "Fe L": "family",
        "K L": "control",
        "Ti L": "control",
        "Si K": "outside",
    }
    assert all(plan.feature for plan in experiment.edges)


def test_declared_windows_lie_inside_the_scans(riverbank):
    for plan in riverbank.experiment.edges:
        regions = riverbank.edges[plan.edge].regions
        for low, high in plan.feature.windows:
            assert regions[0][0] < low < high < regions[-1][1]


def test_it_says_that_it_is_invented(riverbank, riverbank_text):
    assert "None of it is reference data" in riverbank.experiment_text
    with pytest.raises(TextRefused, match="needed the label 'invented; none of it is reference data'"):
        scenario_from_text(riverbank_text.replace("label: invented; none", "label: measured; all"))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("schedule:", "timetable:", "no 'schedule'"),
        ("indium: {shares: {In: 1.0}", "indium: {shares: {Xx: 1.0}", "indium holds Xx, whose attenuation"),
        ("indium: {shares: {In: 1.0}", "indium: {shares: {In: 0.9}", "indium do not add up to 1"),
        ("INDIUM: indium}", "INDIUM: lead}", "materials of this scenario, found 'lead'"),
        ("[RAW-A, PIT750-A, PIT750-B, RAW-B]", "[RAW-D]", "found 'RAW-D'"),
        ("{edge: Ti L, rounds", "{edge: Sc L, rounds", "found 'Sc L'"),
        ("lead: six", "lead: seven", "components of Al K, found 'seven'"),
        ("{six: 0.20, four: 0.52, five: 0.28}", "{six: 0.20, four: 0.52}", "add up to 1, found 0.72"),
        ("fired: {k: 1.0}", "burnt: {k: 1.0}", "shares of every arm at K L, found 'fired'"),
        ("- edge: Si K\n      feature", "- edge: S K\n      feature", "found 'Si K'"),
        ("+01:00", "", "says no zone"),
        ("kcps: 60", "kcps: [", "a scenario in YAML"),
        ("arm: raw, pair: A", "arm: row, pair: A", "a scenario in YAML"),
    ],
)
def test_a_scenario_that_does_not_hold_is_refused(riverbank_text, old, new, words):
    assert old in riverbank_text
    with pytest.raises(TextRefused, match=words.replace("[", r"\[")):
        scenario_from_text(riverbank_text.replace(old, new, 1))


def test_text_that_is_no_mapping_is_refused():
    with pytest.raises(TextRefused, match="needed a scenario in YAML"):
        scenario_from_text("- one\n- two\n")


def test_a_scenario_may_bring_another_instrument(riverbank_text, made):
    slow = scenario_from_text(riverbank_text + "\nbeamline: {dead_time_s: 4.0e-6, drift_ev_per_h: 0.0}\n")
    channels = {channel.role: channel for channel in slow.experiment.beamline.channels}
    assert channels["fluorescence"].dead_time_s == 4.0e-6
    other = shift(slow, 7)
    assert other.files != made.files
    assert {scan.drift_ev for scan in other.truth.scans.values()} == {0.0}
