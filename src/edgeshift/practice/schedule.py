"""The order of the day: which scan, where, when. Rounds run forwards and backwards in turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from edgeshift.practice.scenario import EdgeModel, Scenario


@dataclass(frozen=True)
class PlannedScan:
    """One scan to come: its number in the day, where, and when (s since the day began).

    `asked_ev` (points,) are the energies asked of the monochromator.
    """

    number: int
    edge: str
    specimen: str
    spot: str
    starts_s: float
    asked_ev: np.ndarray
    dwell_s: float


def asked_energies(model: EdgeModel) -> np.ndarray:
    """The energies of a scan (points,), region after region, each shared end once."""
    parts = [np.arange(round((high - low) / by)) * by + low for low, high, by in model.regions]
    return np.concatenate([*parts, [model.regions[-1][1]]])


def planned(scenario: Scenario, rng: np.random.Generator) -> tuple[PlannedScan, ...]:
    """Every scan of the day with its start, after moves, edge changes and pauses of varying length."""
    beamline, clock_s, scans = scenario.beamline, 0.0, []
    for place, block in enumerate(scenario.schedule):
        model = scenario.edges[block.edge]
        asked = asked_energies(model)
        lasts_s = asked.size * (beamline.settle_s + model.dwell_s)
        clock_s += 60.0 * block.pause_min + (rng.uniform(*beamline.edge_change_s) if place else 0.0)
        for turn, spot in enumerate(block.rounds):
            for specimen in block.specimens[:: -1 if turn % 2 else 1]:
                clock_s += rng.uniform(*beamline.move_s)
                number = len(scans) + 1
                scans.append(PlannedScan(number, block.edge, specimen, spot, clock_s, asked, model.dwell_s))
                clock_s += lasts_s
    return tuple(scans)
