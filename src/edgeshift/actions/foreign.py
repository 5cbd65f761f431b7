"""What scans of a specimen show of its mount, since the beam was last found on it."""

from __future__ import annotations

from collections.abc import Mapping

from edgeshift.actions.session import Known
from edgeshift.planning.feasibility import shares_by_mass
from edgeshift.questions.begin import Foreign
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer
from edgeshift.tables.mounts import ON_MOUNTS


def foreign(known: Known, trusted: Answer, named: Answer) -> dict[str, Foreign]:
    """By specimen, from the answers to "trust" and "here"; only scans after the noted position count."""
    return {
        name: Foreign(*_of_mount(known, trusted, named, name, event.number))
        for name, event in known.state.positions.items()
    }


def _of_mount(known: Known, trusted: Answer, named: Answer, name: str, after: int) -> tuple:
    later = {
        scan.key
        for group in known.scans.values()
        for scan in group
        if scan.place.specimen == name and known.state.arrivals[scan.key].number > after
    }
    elements = {
        element: told["specimens"][name]["scan"]
        for element, told in named.detail["elements"].items()
        if _only_the_mount_holds(element, told, known.experiment) and _seen(told, name, later)
    }
    mount = [
        finding
        for finding in trusted.detail.get("findings", ())
        if finding["code"] == "off-specimen" and later.intersection(finding["scans"])
    ]
    shares = [finding["numbers"]["percent"] / 100 for finding in mount if finding["numbers"].get("kind")]
    keys = (*elements.values(), *(key for finding in mount for key in finding["scans"]))
    bare = any(finding["numbers"].get("kind") == "bare" for finding in mount)
    return tuple(elements), max(shares, default=None), bare, tuple(dict.fromkeys(keys))


def _seen(told: Mapping, name: str, later: set[str]) -> bool:
    one = told.get("specimens", {}).get(name)
    return one is not None and one["verdict"] == "seen" and one["scan"] in later


def _only_the_mount_holds(element: str, told: Mapping, experiment: Experiment) -> bool:
    """By the typed material; without one, where a bare mount shows the element and no edge asks for it."""
    if element not in ON_MOUNTS:
        return False
    if experiment.matter is not None:
        return element not in shares_by_mass(experiment.matter)
    if any(plan.edge.startswith(f"{element} ") for plan in experiment.edges):
        return False
    blanks = (each.name for each in experiment.specimens if each.kind == "blank")
    return any(told.get("specimens", {}).get(name, {}).get("verdict") == "seen" for name in blanks)
