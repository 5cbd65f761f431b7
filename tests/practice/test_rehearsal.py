"""Somebody's own plan becomes a shift: same edges, specimens and files, invented results."""

from dataclasses import replace

import numpy as np
import pytest

from edgeshift.errors import TextRefused
from edgeshift.formats.experiment_text import load
from edgeshift.practice import planted, shift
from edgeshift.practice.mounted import mounted
from edgeshift.practice.rehearsal import Plan, rehearsal_of
from edgeshift.practice.scenario import Material
from edgeshift.practice.schedule import asked_energies, lasts_s, planned

TEXT = """\
question: does the rain change the paint?
arms: [{name: dry, control: true}, {name: rain}]
units: [{name: d1, arm: dry}, {name: d2, arm: dry}, {name: r1, arm: rain}, {name: r2, arm: rain}]
specimens:
  - {name: D1, unit: d1}
  - {name: D2, unit: d2}
  - {name: R1, unit: r1}
  - {name: R2, unit: r2}
  - {name: STD, kind: standard}
edges:
  - {edge: Mn L, feature: {kind: ratio, windows: [[640, 640.5], [652, 653]]}}
  - {edge: S K}
  - {edge: Al K, role: control, feature: {kind: height, windows: [[1620, 1625]]}}
plan: {units_per_arm: 2, spots_per_unit: 3, scans_per_spot: 3}
"""
ENERGIES = {"Mn L": (638.7, 649.9), "S K": (2472.0,), "Al K": (1559.0,)}


MATERIALS = {"powder": Material({"O": 1.0}, 2.0, 5.0), "mount": Material({"C": 1.0}, 2.0, 5.0)}


def plan(text=TEXT, more=()):
    energies = {**ENERGIES, **dict(more)}
    return Plan(load(text, "experiment.yaml"), text, energies, None, {}, {"blanks": ["weak-line"]}, MATERIALS)


@pytest.fixture(scope="module")
def library(scenario_named):
    return scenario_named("riverbank-3")


@pytest.fixture(scope="module")
def scenario(library):
    return rehearsal_of(plan(), library, 5)


def test_its_edges_and_specimens_are_those_of_the_plan(scenario):
    made = shift(scenario, 5)
    assert {edge for edge, _ in made.truth.places.values()} == {"Mn L", "S K", "Al K"}
    assert {who for _, who in made.truth.places.values()} == {"D1", "D2", "R1", "R2", "STD"}
    assert made.experiment_text == TEXT


def test_as_many_rounds_as_the_shift_has_time_for(scenario):
    scans = planned(scenario, np.random.default_rng(1))
    measured = (scans[-1].starts_s + lasts_s(scenario, scans[-1].edge)) / 60
    assert 240 < scenario.day.before_min + measured + scenario.day.after_min < 490
    assert all(len(block.rounds) >= 1 for block in scenario.schedule)


def test_arms_take_turns_and_a_standard_comes_first_at_its_own_edge_alone(scenario):
    assert [block.specimens for block in scenario.schedule] == [("STD",), *[("D1", "R1", "R2", "D2")] * 3]
    assert scenario.schedule[0].edge == "Mn L"


BLANK = TEXT.replace("edges:", "  - {name: TAPE, kind: blank}\nedges:")


def test_a_blank_holds_nothing_of_any_element_and_a_standard_much_of_its_own(library):
    made = rehearsal_of(plan(BLANK), library, 5)
    holder = mounted(made, (5,))
    for edge in made.edges:
        blank, clay = (holder.target(edge, name, "s1") for name in ("TAPE", "D1"))
        assert blank.own.step == blank.own.glow == 0.0
        assert blank.amount < 0.5 * clay.amount
        assert made.unharmed["edges"][f"{edge} TAPE"] == ["weak-line"]
    standard = holder.target("Mn L", "STD", "s1").own
    assert standard.step > 2.0 * holder.target("Mn L", "D1", "s1").own.step
    assert holder.target("S K", "STD", "s1").own.step == 0.0
    assert made.material_of("TAPE") == MATERIALS["mount"] != made.material_of("D1")
    blocks = [(block.edge, block.rounds) for block in made.schedule if "TAPE" in block.specimens]
    assert blocks == [(edge, ("s1",)) for edge in made.edges]


def test_a_standard_that_the_library_knows_belongs_to_the_edge_that_it_is_known_at(library):
    text = TEXT.replace("STD", "GOETHITE").replace("S K", "Fe L")
    made = rehearsal_of(plan(text, {"Fe L": (706.8, 719.9)}.items()), library, 5)
    assert [block.edge for block in made.schedule if "GOETHITE" in block.specimens] == ["Fe L"]


@pytest.mark.parametrize(
    ("edge", "energies"), [("N K", (401.6,)), ("Ba M", (780.5, 795.7)), ("In M", (443.9, 451.4))]
)
def test_what_is_planned_is_strong_enough_to_be_seen(library, edge, energies):
    made = rehearsal_of(plan(TEXT.replace("S K", edge), {edge: energies}.items()), library, 5)
    assert made.edges[edge].step_over_background >= 0.15
    assert any(component.lines for component in made.edges[edge].components.values())


def test_an_edge_may_have_a_plan_of_its_own(library):
    text = TEXT.replace("{edge: S K}", "{edge: S K, plan: {spots_per_unit: 1, scans_per_spot: 1}}")
    made = rehearsal_of(plan(text), library, 5)
    assert {len(block.rounds) for block in made.schedule if block.edge == "S K"} == {1}


def test_an_edge_in_the_role_of_a_control_never_moves(scenario):
    truth = shift(scenario, 5).truth.edges
    assert truth["Al K"].difference("dry", "rain") == 0.0
    assert truth["Mn L"].difference("dry", "rain") != 0.0


def test_scans_reach_over_what_is_declared_and_rise(scenario):
    for edge, model in scenario.edges.items():
        asked = asked_energies(model)
        assert (np.diff(asked) > 0).all()
        assert asked[0] < ENERGIES[edge][0] - 5
    assert asked_energies(scenario.edges["Al K"])[-1] > 1625


def test_another_seed_draws_another_truth(library):
    moves = [
        shift(rehearsal_of(plan(), library, seed), seed).truth.edges["Mn L"].difference("dry", "rain")
        for seed in (1, 2)
    ]
    assert moves[0] != moves[1]


@pytest.mark.parametrize(
    ("edge", "energies"), [("Fe K", (7112.0,)), ("Li K", (54.7,)), ("Ba M", (780.5, 795.7))]
)
def test_edges_far_from_the_usual_ones_still_give_signals(library, edge, energies):
    text = TEXT.replace("S K", edge)
    for file in shift(rehearsal_of(plan(text, {edge: energies}.items()), library, 1), 1).files:
        rows = np.loadtxt(file.data.decode().splitlines())
        assert (rows[:, 1] > 0).all()
        assert (rows[:, 2] < 0).all()
        assert np.isfinite(rows).all()


@pytest.mark.parametrize(("part", "needed"), [("edges", "edges"), ("specimens", "specimens")])
def test_a_plan_without_edges_or_specimens_is_refused(library, part, needed):
    experiment = load(TEXT, "experiment.yaml").model_copy(update={part: ()})
    with pytest.raises(TextRefused, match=f"needed {needed} to rehearse with, found none"):
        rehearsal_of(replace(plan(), experiment=experiment), library, 1)


def test_without_traps_of_its_own_none_can_be_asked_for(scenario):
    with pytest.raises(TextRefused, match="some of no traps at all, found 'T1'"):
        planted(scenario, "T1")
