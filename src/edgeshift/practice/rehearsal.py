"""A person's own plan as a scenario: the same edges, specimens and files; the results are invented."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np

from edgeshift.errors import TextRefused
from edgeshift.practice.scenario import Block, Component, EdgeModel, Material, Scenario, TrapPlan
from edgeshift.practice.schedule import lasts_s
from edgeshift.practice.shapes import Shape
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.experiment import Plan as Planned

NAME = "rehearsal"
BEGINS = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
LOTS = 77
"""Stream of chance for what is invented of a plan."""
CHANGE = (0.3, 1.0)
"""How much of the library's whole change a treatment makes, by lot."""
LEAST_STEP, LEAST_KCPS = 0.15, 8.0
"""Who plans an edge expects to see it: a step over the background and a count rate of at least so much."""
STANDARD_LEVEL, BLANK_AMOUNT = 3.0, 0.2
"""How much more of its element a standard holds, and what a bare mount gives altogether."""
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
    materials: Mapping[str, Material]

    def named(self, kind: str) -> tuple[str, ...]:
        """The specimens of a kind that came from no unit."""
        return tuple(s.name for s in self.experiment.specimens if s.unit is None and s.kind == kind)


def rehearsal_of(plan: Plan, library: Scenario, seed: int) -> Scenario:
    """A shift of `plan`. Edges of `library` keep their invented materials, others get lines of their own.

    What a treatment does, if anything, is drawn by lot from `seed`; edges in the role of a control never
    move. A blank holds nothing of any element. A standard is one of its edge: of that at which the library
    knows its name, else the standards are dealt to the edges in turn. The first of the plan's materials is
    that of the specimens, `mount` that of blanks. Raises TextRefused where the plan names nothing that could
    be measured.
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
        materials=plan.materials,
        made_of=dict.fromkeys(plan.named("blank"), "mount"),
        like={name: _control(plan.experiment) for name in plan.named("specimen")},
        amounts=dict.fromkeys(plan.named("blank"), BLANK_AMOUNT),
        traps=plan.traps,
        unharmed=_unharmed(plan),
        profile=plan.profile,
    )
    return replace(scenario, schedule=_schedule(scenario, plan, library))


def _check(experiment: Experiment) -> None:
    for needed, found in (("edges", experiment.edges), ("specimens", experiment.specimens)):
        if not found:
            act = f"Name its {needed}, then rehearse."
            raise TextRefused("the plan", f"{needed} to rehearse with", "none", act)


def _unharmed(plan: Plan) -> dict:
    """The table for scoring: what it says of blanks is true of every blank at every edge."""
    of_blanks = plan.unharmed.get("blanks", ())
    places = [f"{edge.edge} {name}" for edge in plan.experiment.edges for name in plan.named("blank")]
    return {**plan.unharmed, "edges": {place: list(of_blanks) for place in places}}


def _control(experiment: Experiment) -> str:
    return experiment.control.name if experiment.control else "as it is"


def _edge(name: str, plan: Plan, library: Scenario, rng: np.random.Generator) -> EdgeModel:
    """The model of an edge, with shares for every arm; the lots are drawn for each edge alike."""
    model = _borrowed(name, library) or _invented(name, plan.energies[name])
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
    standards = [each for each, edge in _standards(plan, library).items() if edge == name]
    shares |= dict.fromkeys(standards, {model.lead: 1.0})
    told = {"shares": shares, "regions": regions, "compared": feature is not None}
    levels = dict.fromkeys(standards, STANDARD_LEVEL)
    return replace(model, **told, levels=levels, sees=(), damage=None)


def _borrowed(name: str, library: Scenario) -> EdgeModel | None:
    """The library's own edge, strong enough to be seen; None where it knows no specimen with the element."""
    model = library.edges.get(name)
    blanks = {s.name for s in library.experiment.specimens if s.kind == "blank"}
    if model is None or not model.step_over_background or not set(model.shares) - blanks:
        return None
    step = max(LEAST_STEP, model.step_over_background)
    return replace(
        model, step_over_background=step, counts_per_s=max(1000.0 * LEAST_KCPS, model.counts_per_s)
    )


def _standards(plan: Plan, library: Scenario) -> dict[str, str]:
    """Standard -> the edge that it is one of."""
    edges = [edge.edge for edge in plan.experiment.edges]
    found, dealt = {}, 0
    for name in plan.named("standard"):
        known = [edge for edge in edges if edge in library.edges and name in library.edges[edge].shares]
        found[name] = known[0] if known else edges[dealt % len(edges)]
        dealt += not known
    return found


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


def _schedule(scenario: Scenario, plan: Plan, library: Scenario) -> tuple[Block, ...]:
    """Edge after edge, arms in turn, as many rounds as the plan asks for and the shift has time for. Its
    standard is scanned once before them, blanks once after them."""
    rounds = {edge: _rounds(scenario.experiment.plan_for(edge)) for edge in scenario.edges}
    blanks, standards = plan.named("blank"), _standards(plan, library)
    once = {edge: tuple(s for s, its in standards.items() if its == edge) for edge in scenario.edges}
    specimens = tuple(s for s in _in_turn(scenario) if s not in blanks and s not in standards)
    many = {edge: len(rounds[edge]) if specimens else 0 for edge in scenario.edges}

    def minutes() -> float:
        each = {edge: many[edge] * len(specimens) + len(once[edge]) + len(blanks) for edge in many}
        return _minutes(scenario, each)

    while minutes() > scenario.day.lasts_min and max(many.values()) > 1:
        longest = max(reversed(list(many)), key=many.__getitem__)
        many[longest] -= 1
    blocks = []
    for edge, turns in rounds.items():
        parts = ((turns[:1], once[edge]), (turns[: many[edge]], specimens), (turns[:1], blanks))
        blocks += [Block(edge, visits, some) for visits, some in parts if some]
    return tuple(blocks)


def _rounds(plan: Planned) -> tuple[str, ...]:
    """The spots of each round: every spot once, then again."""
    spots = [f"s{number + 1}" for number in range(plan.spots_per_unit)]
    return tuple(spot for _ in range(plan.scans_per_spot) for spot in spots)[:MOST_ROUNDS]


def _in_turn(scenario: Scenario) -> tuple[str, ...]:
    """Specimens with the arms in turn, so that neither is always first; those of no arm at the end."""
    arms = [arm.name for arm in scenario.experiment.arms]
    names = [specimen.name for specimen in scenario.experiment.specimens]
    queues = [[name for name in names if scenario.arm_of(name) == arm] for arm in arms]
    mixed = []
    for turn in range(max(map(len, queues), default=0)):
        here = [queue[turn] for queue in queues if turn < len(queue)]
        mixed += here[:: -1 if turn % 2 else 1]
    return (*mixed, *(name for name in names if name not in mixed))


def _minutes(scenario: Scenario, scans: Mapping[str, int]) -> float:
    move_s = sum(scenario.beamline.move_s) / 2.0
    change_s = sum(scenario.beamline.edge_change_s) / 2.0
    each = [many * (lasts_s(scenario, edge) + move_s) + change_s for edge, many in scans.items()]
    return scenario.day.before_min + sum(each) / 60.0 + scenario.day.after_min
