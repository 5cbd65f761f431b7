"""From a scenario's YAML text to its record, checked, or a kind refusal."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from edgeshift.errors import TextRefused
from edgeshift.practice.attenuation_values import TABLE
from edgeshift.practice.beamline import Beamline
from edgeshift.practice.conditions import Conditions
from edgeshift.practice.pressure import Load
from edgeshift.practice.profile import profile_text
from edgeshift.practice.scenario import (
    Block,
    CommonScatter,
    Component,
    Damage,
    Day,
    EdgeModel,
    Material,
    Scenario,
    TrapPlan,
)
from edgeshift.practice.shapes import Shape
from edgeshift.recipe.experiment import Experiment

LABEL = "invented; none of it is reference data"
"""Every scenario has to say so."""
OWN = ("schedule", "experiment", "traps", "loads", "title", "name", "begins")
"""Parts that a later shift never inherits piece by piece from the shift it builds on."""
PLANTS = {"scans", "from_ev", "swap", "saved_again", *Conditions.__dataclass_fields__}


def scenario_from_text(text: str, *earlier: str) -> Scenario:
    """The scenario that a YAML text describes; `earlier` are the texts it builds on, the first one first.

    Raises TextRefused where the text is no YAML, lacks a part, does not say that it is invented, or names
    a specimen, edge, arm or component that it does not define.
    """
    from ruamel.yaml.error import YAMLError

    try:
        tree = _parsed(text)
        for each in reversed(earlier):
            tree = _laid_over(_parsed(each), tree)
        scenario = _scenario(tree)
    except KeyError as missing:
        raise _refused("every part of a scenario", f"no {missing}") from None
    except (YAMLError, TypeError, ValueError, AttributeError) as trouble:
        raise _refused("a scenario in YAML", str(trouble).splitlines()[0]) from None
    _check(tree, scenario)
    return scenario


def built_on(text: str) -> str | None:
    """The name of the scenario that a text builds on, or None."""
    said = _parsed(text)
    return said.get("builds_on") if isinstance(said, Mapping) else None


def parts_from_text(
    text: str,
) -> tuple[Mapping[str, TrapPlan], Mapping[str, Any], Mapping[str, Material]]:
    """Traps, the table of the unharmed and materials from a text that holds nothing else."""
    tree = _parsed(text)
    traps = {name: _trap(name, said) for name, said in tree["traps"].items()}
    return traps, tree["unharmed"], {name: _material(name, said) for name, said in tree["materials"].items()}


def _laid_over(earlier: Mapping[str, Any], later: Mapping[str, Any], top: bool = True) -> dict[str, Any]:
    """The later mapping with what it does not say taken from the earlier one, level by level."""
    merged = {key: value for key, value in earlier.items() if not (top and key in OWN)}
    for key, value in later.items():
        deeper = isinstance(value, Mapping) and isinstance(merged.get(key), Mapping)
        merged[key] = _laid_over(merged[key], value, False) if deeper else value
    return merged


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
        materials={name: _material(name, said) for name, said in tree["materials"].items()},
        like=tree.get("like", {}),
        made_of=tree.get("made_of", {}),
        amounts=tree.get("amounts", {}),
        traps={name: _trap(name, said) for name, said in tree.get("traps", {}).items()},
        unharmed=tree.get("unharmed", {}),
        loads=tuple(Load(**said) for said in tree.get("loads", ())),
        day=Day(**tree.get("day", {})),
    )


def _material(name: str, said: Mapping[str, Any]) -> Material:
    unknown = sorted(set(said["shares"]) - set(TABLE))
    if unknown:
        raise ValueError(f"the material {name} holds {unknown[0]}, whose attenuation no table gives")
    if abs(sum(said["shares"].values()) - 1.0) > 1e-3:
        raise ValueError(f"the shares of the material {name} do not add up to 1")
    return Material(**said)


def _moment(said: str) -> datetime:
    when = datetime.fromisoformat(said)
    if when.tzinfo is None:
        raise ValueError(f"the time {said} says no zone")
    return when


def _edge(name: str, said: Mapping[str, Any]) -> EdgeModel:
    damage = said.get("damage")
    return EdgeModel(
        name=name,
        at_ev=said["at_ev"],
        step_over_background=said["step_over_background"],
        regions=tuple(tuple(region) for region in said["regions"]),
        dwell_s=said["dwell_s"],
        counts_per_s=1000.0 * said["kcps"],
        components={each: _component(shapes) for each, shapes in said["components"].items()},
        lead=said["lead"],
        shares=said["shares"],
        dig_sd=said["scatter"]["dig"],
        unit_sd=said["scatter"]["unit"],
        line_sd=said["scatter"]["lines"],
        levels=said.get("levels", {}),
        emission_ev=said.get("emission_ev"),
        sees=tuple(said.get("sees", ())),
        damage=Damage(tuple(damage["of"]), damage["by"], damage["half_mgy"]) if damage else None,
        compared=said.get("compared", True),
        taken=said.get("taken", 1.0),
    )


def _component(shapes: Mapping[str, Any]) -> Component:
    steps, lines = (tuple(Shape(*numbers) for numbers in shapes[part]) for part in ("steps", "lines"))
    return Component(steps, lines)


def _block(said: Mapping[str, Any]) -> Block:
    lists = {name: tuple(said.get(name, ())) for name in ("rounds", "specimens", "only_with")}
    return Block(**{**said, **lists})


def _trap(name: str, said: Mapping[str, Any]) -> TrapPlan:
    for plant in said.get("plants", ()):
        stranger = next((key for key in plant if key not in PLANTS), None)
        if stranger is not None:
            raise ValueError(f"trap {name} plants '{stranger}', which is not known")
    plants, true = tuple(said.get("plants", ())), tuple(said.get("also_true", ()))
    named = tuple(said.get("named", ()))
    return TrapPlan(name, said["words"], plants, tuple(said["caught"]), true, named)


def _check(tree: Mapping[str, Any], scenario: Scenario) -> None:
    if tree.get("label") != LABEL:
        raise _refused(f"the label '{LABEL}'", repr(tree.get("label")))
    specimens = {specimen.name for specimen in scenario.experiment.specimens}
    for block in scenario.schedule:
        _known(f"an edge among {sorted(scenario.edges)}", [block.edge], scenario.edges)
        _known(f"specimens among {sorted(specimens)}", block.specimens, specimens)
        _known("traps of this scenario", block.only_with, scenario.traps)
    _known("materials of this scenario", scenario.made_of.values(), scenario.materials)
    for edge in scenario.edges.values():
        _known("edges of this scenario", edge.sees, scenario.edges)
        _check_edge(edge, scenario)


def _check_edge(edge: EdgeModel, scenario: Scenario) -> None:
    measured = any(b.edge == edge.name and not b.only_with for b in scenario.schedule)
    if edge.compared and measured:
        _known(f"a feature declared for every edge, {edge.name} too", [edge.name], _declared(scenario))
        for arm in scenario.experiment.arms:
            if scenario.said_of(edge.shares, None, arm.name) is None:
                raise _refused(f"shares of every arm at {edge.name}", f"'{arm.name}'")
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
