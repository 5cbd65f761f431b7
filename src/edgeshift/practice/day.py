"""A whole shift: the files as they land, the experiment text, and the truth kept apart from both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from edgeshift.practice.beamline import ring_for
from edgeshift.practice.file_layout import file_bytes, file_name
from edgeshift.practice.instrument import Happened, Reading, measure
from edgeshift.practice.mounted import Mounted, mounted
from edgeshift.practice.pressure import chamber_mbar, log_bytes
from edgeshift.practice.profile_layout import bytes_for, name_for
from edgeshift.practice.scenario import Scenario
from edgeshift.practice.schedule import PlannedScan, planned
from edgeshift.practice.traps import Trap
from edgeshift.practice.truth import TrapTruth, Truth, edge_truth

DAY, RING, MATTER, SCAN, TRAP, GAUGE = range(6)
"""Streams of chance, kept apart so that a change to one leaves the others' numbers alone."""


@dataclass(frozen=True)
class RawFile:
    """One file, when it is complete (s since the first scan's day began), and the number of its scan (0: a
    gauge's)."""

    name: str
    data: bytes
    at_s: float
    number: int = 0


@dataclass(frozen=True)
class Shift:
    """What a practice shift leaves. `logs` are files of the gauges, not scans. Only scoring may look at
    `truth`."""

    files: tuple[RawFile, ...]
    experiment_text: str
    truth: Truth
    logs: tuple[RawFile, ...] = ()


def shift(scenario: Scenario, seed: int, traps: Sequence[Trap] = ()) -> Shift:
    """The shift of a scenario; the same seed and traps give the same bytes, whatever the machine's day."""
    luck = [np.random.default_rng([seed, TRAP, number]) for number in range(len(traps))]
    names = {trap.name for trap in traps}
    scans = planned(scenario, np.random.default_rng([seed, DAY]), names)
    struck = {trap: trap.struck(scans) for trap in traps}
    for trap, rng in zip(traps, luck, strict=True):
        scans = trap.plan(scans, rng)
    holder = mounted(scenario, (seed, MATTER))
    made = _Made(scenario, holder, seed)
    for scan in scans:
        made.one(scan, tuple(zip(traps, luck, strict=True)))
    landed, told = tuple(made.files), {}
    for trap, rng in zip(traps, luck, strict=True):
        again = trap.copies(landed, struck[trap])
        landed = tuple(sorted((*trap.files(landed, rng), *again), key=lambda file: file.at_s))
        told[trap.name] = _told(trap, struck[trap], landed)
    places = {file.name: (scan.edge, scan.specimen) for file, scan in zip(made.files, scans, strict=True)}
    truth = Truth(_edges(scenario, holder), made.happened, told, {f.name: f.at_s for f in landed}, places)
    return Shift(landed, scenario.experiment_text, truth, _logs(scenario, seed))


@dataclass
class _Made:
    """The day so far: files, what befell them, and the dose of every spot."""

    scenario: Scenario
    holder: Mounted
    seed: int
    files: list[RawFile] = field(default_factory=list)
    happened: dict[str, Happened] = field(default_factory=dict)
    dose_mgy: dict[tuple[str, str], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        lasts_s = 3600.0 * 24
        self.ring = ring_for(self.scenario.beamline, lasts_s, np.random.default_rng([self.seed, RING]))

    def one(self, scan: PlannedScan, traps: Sequence[tuple[Trap, np.random.Generator]]) -> None:
        """Measure one scan and write its file."""
        place = scan.specimen, scan.spot
        spot = self.holder.spot_of(scan, self.dose_mgy.get(place, 0.0))
        rng = np.random.default_rng([self.seed, SCAN, scan.luck])
        here_mbar = chamber_mbar(self.scenario.loads, scan.starts_s)
        reading, befell = measure(scan, spot, self.scenario.beamline, self.ring, rng, here_mbar)
        self.dose_mgy[place] = befell.dose_mgy
        for trap, own in traps:
            reading = trap.reading(reading, own)
        self.files.append(_written(self.scenario, reading))
        self.happened[self.files[-1].name] = befell


def _told(trap: Trap, struck: Sequence[frozenset[int]], files: Sequence[RawFile]) -> TrapTruth:
    by_plant = tuple(tuple(file.name for file in files if file.number in numbers) for numbers in struck)
    return TrapTruth(trap.name, by_plant)


def _written(scenario: Scenario, reading: Reading) -> RawFile:
    scan = reading.scan
    done_s = scan.starts_s + float(reading.clock_s[-1])
    if scenario.profile is not None:
        data = bytes_for(scenario.profile, reading, scenario.begins)
        return RawFile(name_for(scenario.profile, reading), data, done_s, scan.number)
    return RawFile(
        file_name(scan.number, scan.edge), file_bytes(reading, scenario.begins), done_s, scan.number
    )


def _logs(scenario: Scenario, seed: int) -> tuple[RawFile, ...]:
    return tuple(
        RawFile(
            f"pressure_{load.name}.txt",
            log_bytes(load, np.random.default_rng([seed, GAUGE, number])),
            60.0 * (load.begins_min + load.lasts_min),
        )
        for number, load in enumerate(scenario.loads)
    )


def _edges(scenario: Scenario, holder: Mounted) -> Mapping:
    measured = {block.edge for block in scenario.schedule if not block.only_with}
    return {
        edge: edge_truth(scenario, model, holder.bases[edge], holder.populations[edge])
        for edge, model in scenario.edges.items()
        if model.compared and edge in measured
    }
