"""The order of the day: which scan, where, when. Rounds run forwards and backwards in turn."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from edgeshift.practice.conditions import Conditions
from edgeshift.practice.scenario import Block, EdgeModel, Scenario

APART = 10_000
"""Scans that only a trap brings draw their noise from streams of this number and above."""


@dataclass(frozen=True)
class PlannedScan:
    """One scan to come: its number in the day, where, and when (s since the day began).

    `asked_ev` (points,) are the energies asked of the monochromator. `luck` names the stream of its noise,
    so that scans brought by a trap leave the noise of all others alone.
    """

    number: int
    edge: str
    specimen: str
    spot: str
    starts_s: float
    asked_ev: np.ndarray
    dwell_s: float
    beam_mm2: float = 10.0
    exposed_s: float = 0.0
    luck: int = 0
    conditions: Conditions = Conditions()


def asked_energies(model: EdgeModel) -> np.ndarray:
    """The energies of a scan (points,), region after region; an end that two regions share comes once."""
    parts, regions = [], model.regions
    for place, (low, high, by) in enumerate(regions):
        inside = np.arange(round((high - low) / by)) * by + low
        meets = place + 1 < len(regions) and regions[place + 1][0] <= high
        parts.append(inside if meets else np.append(inside, high))
    return np.concatenate(parts)


def planned(
    scenario: Scenario, rng: np.random.Generator, traps: Collection[str] = ()
) -> tuple[PlannedScan, ...]:
    """Every scan of the day with its start, after moves, edge changes and pauses of varying length.

    `traps` are the names of those to be planted: a block that is there only for others is left out.
    """
    clock_s, scans, before, usual = 0.0, [], "", 0
    for place, block in enumerate(scenario.schedule):
        if block.only_with and not set(block.only_with) & set(traps):
            continue
        clock_s += 60.0 * block.pause_min
        if before not in ("", block.edge):
            clock_s += rng.uniform(*scenario.beamline.edge_change_s)
        before = block.edge
        for turn, at in enumerate(_visits(block), 1):
            clock_s += rng.uniform(*scenario.beamline.move_s)
            usual += not block.only_with
            luck = APART + 100 * place + turn if block.only_with else usual
            scans.append(_scan(scenario, block, len(scans) + 1, at, clock_s, luck))
            clock_s += lasts_s(scenario, block.edge)
    return tuple(scans)


def lasts_s(scenario: Scenario, edge: str) -> float:
    """How long one scan of an edge takes, s."""
    model = scenario.edges[edge]
    return asked_energies(model).size * (scenario.beamline.settle_s + model.dwell_s)


def _visits(block: Block) -> list[tuple[str, str]]:
    return [
        (specimen, spot)
        for turn, spot in enumerate(block.rounds)
        for specimen in block.specimens[:: -1 if turn % 2 else 1]
    ]


def _scan(
    scenario: Scenario, block: Block, number: int, at: tuple[str, str], starts_s: float, luck: int
) -> PlannedScan:
    model = scenario.edges[block.edge]
    return PlannedScan(
        number,
        block.edge,
        *at,
        starts_s,
        asked_energies(model),
        model.dwell_s,
        block.beam_mm2,
        block.exposed_s,
        luck,
    )
