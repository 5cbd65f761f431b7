"""A whole shift: the files as they land, the experiment text, and the truth kept apart from both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from edgeshift.practice.beamline import resolution_ev, ring_for
from edgeshift.practice.file_layout import file_bytes, file_name
from edgeshift.practice.instrument import Happened, Reading, Target, measure
from edgeshift.practice.scenario import EdgeModel, Scenario
from edgeshift.practice.schedule import PlannedScan, planned
from edgeshift.practice.specimens import Basis, Matter, Population, basis_of, populate
from edgeshift.practice.traps import Trap
from edgeshift.practice.truth import Truth, edge_truth

DAY, RING, MATTER, SCAN, TRAP = range(5)
"""Streams of chance, kept apart so that a change to one leaves the others' numbers alone."""


@dataclass(frozen=True)
class RawFile:
    """One file and when it is complete, in seconds since the first scan's day began."""

    name: str
    data: bytes
    at_s: float


@dataclass(frozen=True)
class Shift:
    """What a practice shift leaves. Only scoring may look at `truth`."""

    files: tuple[RawFile, ...]
    experiment_text: str
    truth: Truth


@dataclass(frozen=True)
class _Holder:
    """What is mounted, edge by edge."""

    bases: dict[str, Basis]
    populations: dict[str, Population]


def shift(scenario: Scenario, seed: int, traps: Sequence[Trap] = ()) -> Shift:
    """The shift of a scenario; the same seed and traps give the same bytes, whatever the machine's day."""
    luck = [np.random.default_rng([seed, TRAP, number]) for number in range(len(traps))]
    scans = planned(scenario, np.random.default_rng([seed, DAY]))
    for trap, rng in zip(traps, luck, strict=True):
        scans = trap.plan(scans, rng)
    holder = _mounted(scenario, seed)
    ring = ring_for(scenario.beamline, scans[-1].starts_s + 3600.0, np.random.default_rng([seed, RING]))
    files, happened = [], {}
    for scan in scans:
        target = _target(scenario.edges[scan.edge], holder, scan)
        rng = np.random.default_rng([seed, SCAN, scan.number])
        reading, befell = measure(scan, target, scenario.beamline, ring, rng)
        for trap, trap_rng in zip(traps, luck, strict=True):
            reading = trap.reading(reading, trap_rng)
        files.append(_written(scenario, reading))
        happened[files[-1].name] = befell
    landed = tuple(files)
    for trap, rng in zip(traps, luck, strict=True):
        landed = trap.files(landed, rng)
    return Shift(landed, scenario.experiment_text, _truth(scenario, holder, happened))


def _mounted(scenario: Scenario, seed: int) -> _Holder:
    """Draw what is mounted; each edge has its own stream, so that adding one leaves the others alone."""
    bases, populations = {}, {}
    for place, (edge, model) in enumerate(scenario.edges.items()):
        bases[edge] = basis_of(model, resolution_ev(scenario.beamline, model.at_ev))
        rng = np.random.default_rng([seed, MATTER, place])
        populations[edge] = populate(scenario, model, bases[edge], rng)
    return _Holder(bases, populations)


def _target(model: EdgeModel, holder: _Holder, scan: PlannedScan) -> Target:
    basis = holder.bases[scan.edge]
    matter: Matter = holder.populations[scan.edge].spots[scan.specimen, scan.spot]
    return Target(
        basis.energy_ev,
        basis.curve(matter),
        model.at_ev,
        model.step_over_background * matter.step,
        matter.tilt,
        matter.amount,
        model.counts_per_s * matter.step * matter.amount,
    )


def _written(scenario: Scenario, reading: Reading) -> RawFile:
    scan = reading.scan
    done_s = scan.starts_s + float(reading.clock_s[-1])
    return RawFile(file_name(scan.number, scan.edge), file_bytes(reading, scenario.begins), done_s)


def _truth(scenario: Scenario, holder: _Holder, happened: dict[str, Happened]) -> Truth:
    edges = {
        edge: edge_truth(scenario, model, holder.bases[edge], holder.populations[edge])
        for edge, model in scenario.edges.items()
    }
    return Truth(edges, happened)
