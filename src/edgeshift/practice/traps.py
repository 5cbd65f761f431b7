"""What may go wrong on the day: planted troubles with known truth. What is planted stands in the scenario."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from edgeshift.errors import TextRefused
from edgeshift.practice.conditions import Conditions
from edgeshift.practice.instrument import Reading
from edgeshift.practice.scenario import Scenario, TrapPlan
from edgeshift.practice.schedule import PlannedScan

if TYPE_CHECKING:
    from edgeshift.practice.day import RawFile

CONDITIONS = {each.name for each in fields(Conditions)}
COPY_AFTER_S = 45.0


class Trap:
    """One trouble. A trap overrides the moment at which it strikes and leaves the others as they are.

    Each gets a generator of its own, so that planting one leaves every other number of the day alone.
    """

    name = ""

    def plan(self, scans: tuple[PlannedScan, ...], rng: np.random.Generator) -> tuple[PlannedScan, ...]:
        """The scans of the day, before any is measured."""
        return scans

    def reading(self, reading: Reading, rng: np.random.Generator) -> Reading:
        """One scan's readings, before they are written."""
        return reading

    def files(self, files: tuple[RawFile, ...], rng: np.random.Generator) -> tuple[RawFile, ...]:
        """The files of the day, before they land."""
        return files

    def copies(self, files: tuple[RawFile, ...], struck: Sequence[frozenset[int]]) -> tuple[RawFile, ...]:
        """Files that land once more under another name; `struck` are the numbers of its scans."""
        return ()

    def struck(self, scans: tuple[PlannedScan, ...]) -> tuple[frozenset[int], ...]:
        """Numbers of the scans that it touches, one set for each thing that it plants."""
        return ()


class Planted(Trap):
    """A trap as a scenario tells it."""

    def __init__(self, plan: TrapPlan) -> None:
        self.name, self.told = plan.name, plan

    def plan(self, scans: tuple[PlannedScan, ...], rng: np.random.Generator) -> tuple[PlannedScan, ...]:
        """Each plant changes the conditions, the range or the label of its scans."""
        for plant in self.told.plants:
            numbers = _chosen(scans, plant["scans"])
            scans = tuple(_changed(scan, plant) if scan.number in numbers else scan for scan in scans)
        return scans

    def copies(self, files: tuple[RawFile, ...], struck: Sequence[frozenset[int]]) -> tuple[RawFile, ...]:
        """Files that are saved once more under another name, a little later."""
        return tuple(
            replace(file, name=plant["saved_again"], at_s=file.at_s + COPY_AFTER_S)
            for plant, numbers in zip(self.told.plants, struck, strict=True)
            for file in files
            if "saved_again" in plant and file.number in numbers
        )

    def struck(self, scans: tuple[PlannedScan, ...]) -> tuple[frozenset[int], ...]:
        """The scans that each of its plants chooses."""
        return tuple(_chosen(scans, plant["scans"]) for plant in self.told.plants)


def planted(scenario: Scenario, asked: str) -> tuple[Trap, ...]:
    """The traps that were asked for: `none`, `all`, or names with commas between, as T1,T4.

    Raises TextRefused for a name that this scenario does not have.
    """
    words = [word.strip() for word in asked.split(",") if word.strip()]
    if words == ["none"]:
        return ()
    names = list(scenario.traps) if words == ["all"] else [word.upper() for word in words]
    strangers = [word for word, name in zip(words, names, strict=False) if name not in scenario.traps]
    if strangers or not words:
        needed = f"none, all, or some of {', '.join(scenario.traps) or 'no traps at all'}"
        found = repr(strangers[0]) if strangers else "nothing"
        alone = {"none", "all"} & {word.lower() for word in strangers}
        act = f"Say {alone.pop()} alone, or leave it out." if alone else "Name others."
        raise TextRefused(f"the traps of {scenario.name}", needed, found, act)
    return tuple(Planted(scenario.traps[name]) for name in names)


def _chosen(scans: Sequence[PlannedScan], where: Mapping[str, Any]) -> frozenset[int]:
    """Numbers of the scans that a selector means: edge, specimens, spot, nth of those, after another one."""
    found = [scan for scan in scans if _fits(scan, where)]
    if "after" in where:
        first = min(_chosen(scans, where["after"]), default=len(scans))
        found = [scan for scan in found if scan.number > first]
    if "nth" in where:
        wanted = where["nth"] if isinstance(where["nth"], list) else [where["nth"]]
        found = [found[place - 1] for place in wanted if place <= len(found)]
    return frozenset(scan.number for scan in found)


def _fits(scan: PlannedScan, where: Mapping[str, Any]) -> bool:
    wanted = (("edge", scan.edge), ("specimens", scan.specimen), ("spots", scan.spot))
    return all(key not in where or value in where[key] for key, value in wanted)


def _changed(scan: PlannedScan, plant: Mapping[str, Any]) -> PlannedScan:
    said = {key: value for key, value in plant.items() if key in CONDITIONS}
    if "lost" in said:
        said["lost"] = tuple(said["lost"])
    if "swap" in plant:
        one, other = plant["swap"]
        said["label"] = {one: other, other: one}[scan.specimen]
    asked = scan.asked_ev[scan.asked_ev >= plant.get("from_ev", 0.0)]
    return replace(scan, asked_ev=asked, conditions=replace(scan.conditions, **said))
