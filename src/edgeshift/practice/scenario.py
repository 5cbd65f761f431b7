"""A scenario: what is on the holder, what is known about it, and the order of the day. Data, not code."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from edgeshift.errors import TextRefused
from edgeshift.practice.beamline import Beamline
from edgeshift.practice.profile import profile_text
from edgeshift.practice.shapes import Shape
from edgeshift.recipe.experiment import Experiment

LABEL = "invented; none of it is reference data"
"""Every scenario has to say so."""


@dataclass(frozen=True)
class Component:
    """One material at one edge: its steps and lines before the instrument blurs them."""

    steps: tuple[Shape, ...]
    lines: tuple[Shape, ...]


@dataclass(frozen=True)
class EdgeModel:
    """One edge. `shares[arm][component]` add up to one; `lead` is the component whose share scatters.

    `dig_sd` (common to both halves of a pair) and `unit_sd` are standard deviations of that share,
    `line_sd` of line heights (relative). `step_over_background` is the edge step over the yield of
    everything else; `counts_per_s` the fluorescence just above the edge.
    """

    name: str
    at_ev: float
    step_over_background: float
    regions: tuple[tuple[float, float, float], ...]
    dwell_s: float
    counts_per_s: float
    components: Mapping[str, Component]
    lead: str
    shares: Mapping[str, Mapping[str, float]]
    dig_sd: float
    unit_sd: float
    line_sd: float


@dataclass(frozen=True)
class CommonScatter:
    """Relative scatter that every edge shares; a spot scatters `spot_share` as much as its unit."""

    step_height: float
    tilt: float
    amount: float
    spot_share: float


@dataclass(frozen=True)
class Block:
    """One stretch of the day: rounds through the specimens at one edge, each round at one spot."""

    edge: str
    rounds: tuple[str, ...]
    specimens: tuple[str, ...]
    pause_min: float = 0.0


@dataclass(frozen=True)
class Scenario:
    """The whole of it. `experiment_text` is what the group typed, with the layout of the files added."""

    name: str
    title: str
    begins: datetime
    edges: Mapping[str, EdgeModel]
    scatter: CommonScatter
    schedule: tuple[Block, ...]
    beamline: Beamline
    experiment: Experiment
    experiment_text: str


def scenario_from_text(text: str) -> Scenario:
    """The scenario that a YAML text describes.

    Raises TextRefused where the text is no YAML, lacks a part, does not say that it is invented, or names
    a specimen, edge, arm or component that it does not define.
    """
    from ruamel.yaml.error import YAMLError

    try:
        tree = _parsed(text)
        scenario = _scenario(tree)
    except KeyError as missing:
        raise _refused("every part of a scenario", f"no {missing}") from None
    except (YAMLError, TypeError, ValueError, AttributeError) as trouble:
        raise _refused("a scenario in YAML", str(trouble).splitlines()[0]) from None
    _check(tree, scenario)
    return scenario


def _parsed(text: str) -> Any:
    from ruamel.yaml import YAML

    return YAML(typ="safe", pure=True).load(text)


def _refused(needed: str, found: str) -> TextRefused:
    return TextRefused("the practice scenario", needed, found, "Mend the scenario's text.")


def _scenario(tree: Mapping[str, Any]) -> Scenario:
    beamline = Beamline(**tree.get("beamline", {}))
    typed = tree["experiment"].rstrip() + "\n" + profile_text(beamline)
    return Scenario(
        name=tree["name"],
        title=tree["title"],
        begins=_moment(tree["begins"]),
        edges={name: _edge(name, said) for name, said in tree["edges"].items()},
        scatter=CommonScatter(**tree["scatter"]),
        schedule=tuple(_block(said) for said in tree["schedule"]),
        beamline=beamline,
        experiment=Experiment.model_validate(_parsed(typed)),
        experiment_text=typed,
    )


def _moment(said: str) -> datetime:
    when = datetime.fromisoformat(said)
    if when.tzinfo is None:
        raise ValueError(f"the time {said} says no zone")
    return when


def _edge(name: str, said: Mapping[str, Any]) -> EdgeModel:
    return EdgeModel(
        name=name,
        at_ev=said["at_ev"],
        step_over_background=said["step_over_background"],
        regions=tuple(tuple(region) for region in said["regions"]),
        dwell_s=said["dwell_s"],
        counts_per_s=1000.0 * said["kcps"],
        components={
            each: Component(
                tuple(Shape(*numbers) for numbers in shapes["steps"]),
                tuple(Shape(*numbers) for numbers in shapes["lines"]),
            )
            for each, shapes in said["components"].items()
        },
        lead=said["lead"],
        shares=said["shares"],
        dig_sd=said["scatter"]["dig"],
        unit_sd=said["scatter"]["unit"],
        line_sd=said["scatter"]["lines"],
    )


def _block(said: Mapping[str, Any]) -> Block:
    return Block(said["edge"], tuple(said["rounds"]), tuple(said["specimens"]), said.get("pause_min", 0.0))


def _check(tree: Mapping[str, Any], scenario: Scenario) -> None:
    if tree.get("label") != LABEL:
        raise _refused(f"the label '{LABEL}'", repr(tree.get("label")))
    specimens = {specimen.name for specimen in scenario.experiment.specimens}
    for block in scenario.schedule:
        _known(f"an edge among {sorted(scenario.edges)}", [block.edge], scenario.edges)
        _known(f"specimens among {sorted(specimens)}", block.specimens, specimens)
    arms = {arm.name for arm in scenario.experiment.arms}
    for edge in scenario.edges.values():
        _known(f"a feature declared for every edge, {edge.name} too", [edge.name], _declared(scenario))
        _known(f"shares of every arm at {edge.name}", arms, edge.shares)
        for arm, shares in edge.shares.items():
            _known(f"components of {edge.name}", (edge.lead, *shares), edge.components)
            total = sum(shares.values())
            if abs(total - 1.0) > 1e-9:
                raise _refused(f"shares of {arm} at {edge.name} that add up to 1", f"{total:g}")


def _declared(scenario: Scenario) -> set[str]:
    return {plan.edge for plan in scenario.experiment.edges if plan.feature is not None}


def _known(needed: str, names: Any, known: Any) -> None:
    strangers = [name for name in names if name not in known]
    if strangers:
        raise _refused(needed, f"'{strangers[0]}'")
