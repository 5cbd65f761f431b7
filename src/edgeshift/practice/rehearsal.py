"""A person's own plan as a scenario: the same edges, specimens and files; the results are invented."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np

from edgeshift.errors import TextRefused
from edgeshift.practice.scenario import Block, Component, EdgeModel, Scenario, TrapPlan
from edgeshift.practice.schedule import lasts_s
from edgeshift.practice.shapes import Shape
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment

NAME = "rehearsal"
BEGINS = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
LOTS = 77
"""Stream of chance for what is invented of a plan."""
CHANGE = (0.3, 1.0)
"""How much of the library's whole change a treatment makes, by lot."""
MOST_ROUNDS = 4
BESIDE_EV = 1.0
Regions = tuple[tuple[float, float, float], ...]
"""[from eV, to eV, spacing eV]"""


@dataclass(frozen=True)
class Plan:
    """What is rehearsed: the checked text, tabulated energies of its edges (eV, lower first: one for K, two
    for L and M), and the layout of its files (None: the practice beamline's own)."""

    experiment: Experiment
    text: str
    energies: Mapping[str, tuple[float, ...]]
    profile: BeamlineProfile | None
    traps: Mapping[str, TrapPlan]
    unharmed: Mapping


def rehearsal_of(plan: Plan, library: Scenario, seed: int) -> Scenario:
    """A shift of `plan`. Edges of `library` keep their invented materials, others get lines of their own.

    What a treatment does, if anything, is drawn by lot from `seed`; edges in the role of a control never
    move. Raises TextRefused where the plan names nothing that could be measured.
    """
    _check(plan.experiment)
    rng = np.random.default_rng([seed, LOTS])
    scenario = replace(
        library,
        name=NAME,
        title=plan.experiment.question,
        begins=BEGINS,
        edges={edge.edge: _edge(edge.edge, plan, library, rng) for edge in plan.experiment.edges},
        schedule=(),
        experiment=plan.experiment,
        experiment_text=plan.text,
        like={s.name: _control(plan.experiment) for s in plan.experiment.specimens if s.unit is None},
        amounts={},
        traps=plan.traps,
        unharmed=plan.unharmed,
        profile=plan.profile,
    )
    return replace(scenario, schedule=_schedule(scenario))


def _check(experiment: Experiment) -> None:
    for needed, found in (("edges", experiment.edges), ("specimens", experiment.specimens)):
        if not found:
            act = f"Name its {needed}, then rehearse."
            raise TextRefused("the plan", f"{needed} to rehearse with", "none", act)


def _control(experiment: Experiment) -> str:
    return experiment.control.name if experiment.control else "as it is"


def _edge(name: str, plan: Plan, library: Scenario, rng: np.random.Generator) -> EdgeModel:
    """The model of an edge, with shares for every arm; the lots are drawn for each edge alike."""
    known = name in library.edges
    model = library.edges[name] if known else _invented(name, plan.energies[name])
    before, after = (list(model.shares.values()) * 2)[:2]
    still = plan.experiment.edge_plan(name).role == "control"
    arms = [arm.name for arm in plan.experiment.arms] or [_control(plan.experiment)]
    shares = {}
    for arm in arms:
        part = float(rng.uniform(*CHANGE))
        gone = 0.0 if still or arm == _control(plan.experiment) else part
        names = {**before, **after}
        shares[arm] = {
            each: (1 - gone) * before.get(each, 0.0) + gone * after.get(each, 0.0) for each in names
        }
    feature = plan.experiment.edge_plan(name).feature
    regions = _covering(model.regions, feature.windows if feature else ())
    told = {"shares": shares, "regions": regions, "compared": feature is not None}
    return replace(model, **told, levels={}, sees=(), damage=None)


def _covering(regions: Regions, windows: Sequence[tuple[float, float]]) -> Regions:
    """Regions that reach over every declared window, with some eV to spare."""
    low = min((low for low, _ in windows), default=regions[0][0]) - BESIDE_EV
    high = max((high for _, high in windows), default=regions[-1][1]) + BESIDE_EV
    first, last = regions[0], regions[-1]
    if low < first[0]:
        regions = (
            (first[0] - math.ceil((first[0] - low) / first[2]) * first[2], first[0], first[2]),
            *regions,
        )
    if high > last[1]:
        regions = (*regions, (last[1], last[1] + math.ceil((high - last[1]) / last[2]) * last[2], last[2]))
    return regions


def _invented(name: str, energies_ev: tuple[float, ...]) -> EdgeModel:
    """Lines beside tabulated energies, for an edge of which the library knows nothing."""
    first, last = energies_ev[0], energies_ev[-1]
    broad = max(0.8, 0.0009 * first)
    single = len(energies_ev) == 1
    shares_of_step = (1.0,) if single else (0.67, 0.33)

    def material(shift_ev: float, tall: float) -> Component:
        lines, steps = [], []
        for at, share in zip(energies_ev, shares_of_step, strict=True):
            steps.append(Shape(at + 1.0 + shift_ev, broad, share))
            height = tall if single else 4.0 * share * tall
            lines.append(Shape(at + 1.5 + shift_ev, 1.4 * broad, height))
            lines.append(Shape(at + 4.5 + shift_ev, 3.0 * broad, 0.4 * height))
        return Component(tuple(steps), tuple(lines))

    fine = 0.15 * broad
    regions = (
        (first - 18.0, first - 4.0, 0.5),
        (first - 4.0, last + 9.0, round(fine, 3)),
        (last + 9.0, last + 40.0, 0.7),
    )
    return EdgeModel(
        name=name,
        at_ev=first + 1.0,
        step_over_background=0.3,
        regions=_whole(regions),
        dwell_s=0.6,
        counts_per_s=3.0e4,
        components={"first": material(0.0, 1.5), "second": material(0.9 * broad, 1.2)},
        lead="first",
        shares={"before": {"first": 0.75, "second": 0.25}, "after": {"first": 0.30, "second": 0.70}},
        dig_sd=0.02,
        unit_sd=0.03,
        line_sd=0.005,
    )


def _whole(regions: Regions) -> Regions:
    """Regions whose lengths are whole numbers of their steps."""
    whole, low = [], regions[0][0]
    for _, high, by in regions:
        high = low + by * round((high - low) / by)
        whole.append((low, high, by))
        low = high
    return tuple(whole)


def _schedule(scenario: Scenario) -> tuple[Block, ...]:
    """Edge after edge, arms in turn, as many rounds as the plan asks for and the shift has time for."""
    plan = scenario.experiment.plan
    spots = [f"s{number + 1}" for number in range(plan.spots_per_unit)]
    rounds = tuple(spot for _ in range(plan.scans_per_spot) for spot in spots)[:MOST_ROUNDS]
    specimens = _in_turn(scenario)
    wanted = {edge: len(rounds) for edge in scenario.edges}
    while _minutes(scenario, wanted, len(specimens)) > scenario.day.lasts_min and max(wanted.values()) > 1:
        longest = max(reversed(list(wanted)), key=wanted.__getitem__)
        wanted[longest] -= 1
    return tuple(Block(edge, rounds[: wanted[edge]], specimens) for edge in scenario.edges)


def _in_turn(scenario: Scenario) -> tuple[str, ...]:
    """Specimens with the arms in turn, so that neither is always first; standards and blanks at the end."""
    arms = [arm.name for arm in scenario.experiment.arms]
    names = [specimen.name for specimen in scenario.experiment.specimens]
    queues = [[name for name in names if scenario.arm_of(name) == arm] for arm in arms]
    mixed = []
    for turn in range(max(map(len, queues), default=0)):
        here = [queue[turn] for queue in queues if turn < len(queue)]
        mixed += here[:: -1 if turn % 2 else 1]
    return (*mixed, *(name for name in names if name not in mixed))


def _minutes(scenario: Scenario, rounds: Mapping[str, int], specimens: int) -> float:
    move_s = sum(scenario.beamline.move_s) / 2.0
    change_s = sum(scenario.beamline.edge_change_s) / 2.0
    each = [many * specimens * (lasts_s(scenario, edge) + move_s) + change_s for edge, many in rounds.items()]
    return scenario.day.before_min + sum(each) / 60.0 + scenario.day.after_min
