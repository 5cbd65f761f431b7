"""How often a shift without any difference lights the third rung at least once while it grows.

    python -m benchmarks verdict_looks             2000 shifts a cell
    python -m benchmarks verdict_looks --runs 100  a short look

Scans arrive one by one: units in turn, two spots on each, two scans on each spot; cells and sizes stand in
benchmarks/few_units.yaml. Printed is the share of shifts in which the units were called different at least
once on the way:
    scans      every scan counted as a unit of its own, asked whenever the smaller arm completes a unit
    each scan  the verdict at the whole level, asked after every scan
    each unit  the verdict at the whole level, asked whenever the smaller arm completes a unit
    looks      the same with the level shared out over the looks: what `ask real` does
The first two are counted on the first 300 shifts only. The goal is "looks" at most 0.05, one standard error
allowed, in every cell.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from _unit_curves import GRID, LEVEL, Cell, World, on_both_cores

from edgeshift.questions.real.looks import Look, level_of_look
from edgeshift.questions.real.verdict import curves_between

SPOTS, SCANS = 2, 2
NAIVE_RUNS = 300
WAYS = ("scans", "each scan", "each unit", "looks")


class Moment(NamedTuple):
    """What is there after one scan: how many scans of each unit, for control and treated."""

    control: list[int]
    treated: list[int]

    @property
    def complete(self) -> int:
        """Complete units in the smaller arm."""
        return min(sum(n == SPOTS * SCANS for n in arm) for arm in self)


def moments(design: tuple[int, ...]) -> Iterator[Moment]:
    """The shift scan by scan. Arms take turns; the larger one has more units in each turn."""
    sizes = (design[0], design[-1])
    counts = Moment([0] * sizes[0], [0] * sizes[1])
    for turn in range(min(sizes)):
        for arm, size in zip(counts, sizes, strict=True):
            each = size // min(sizes)
            for unit in range(turn * each, (turn + 1) * each):
                for _ in range(SPOTS * SCANS):
                    arm[unit] += 1
                    yield Moment(*(list(one) for one in counts))


class Shift:
    """All scans of one simulated shift, and unit curves at any moment of it."""

    def __init__(self, world: World, rng: np.random.Generator, design: tuple[int, ...]) -> None:
        self.world, self.paired = world, len(design) == 1
        words = GRID["looks"]
        self.arms = []
        for units in world.draw(rng, design):
            count, points = units.shape
            spots = words["spots"] * world.units(rng, count * SPOTS, 1.0).reshape(count, SPOTS, 1, points)
            noise = words["scans"] * rng.standard_normal((count, SPOTS, SCANS, points))
            self.arms.append(units[:, None, None] + spots + noise)

    def units(self, arm: int, scans: list[int], least: int) -> np.ndarray:
        """Curves (units, points) of the units with at least so many scans: the mean of spots."""
        found = []
        for unit, taken in enumerate(scans):
            if taken >= least:
                first = self.arms[arm][unit, 0, : min(taken, SCANS)].mean(axis=0)
                second = self.arms[arm][unit, 1, : max(taken - SCANS, 0)]
                found.append((first + second.mean(axis=0)) / 2 if len(second) else first)
        return np.array(found)

    def chance(self, moment: Moment, least: int) -> float:
        """The verdict's chance; 1 where there are not two units in each arm, or two pairs."""
        control, treated = (self.units(arm, scans, least) for arm, scans in enumerate(moment))
        if self.paired:
            control, treated = (units[: min(len(control), len(treated))] for units in (control, treated))
        if min(len(control), len(treated)) < 2:
            return 1.0
        return curves_between(self.world.energy, control, treated, self.paired).chance

    def chance_of_scans(self, moment: Moment) -> float:
        """The same with every scan as a unit of its own."""
        control, treated = (
            np.vstack(
                [self.arms[arm][u].reshape(-1, self.world.energy.size)[:n] for u, n in enumerate(scans) if n]
            )
            for arm, scans in enumerate(moment)
        )
        return curves_between(self.world.energy, control, treated, False).chance


def watched(shift: Shift, design: tuple[int, ...], naive: bool) -> list[bool]:
    """Whether each way calls the units different at least once."""
    lit = dict.fromkeys(WAYS, False)
    looks: list[Look] = []
    planned = min(design)
    for moment in moments(design):
        if naive:
            lit["each scan"] |= shift.chance(moment, 1) <= LEVEL
        level = level_of_look(moment.complete, planned, LEVEL, looks)
        if level:
            chance = shift.chance(moment, SPOTS * SCANS)
            lit["each unit"] |= chance <= LEVEL
            lit["looks"] |= chance <= level
            lit["scans"] |= naive and shift.chance_of_scans(moment) <= LEVEL
            looks.append(Look("", "", "", moment.complete, planned, level, 0))
    return list(lit.values())


class Job(NamedTuple):
    """One cell."""

    design: tuple[int, ...]
    cell: Cell
    runs: int
    seed: int

    @property
    def name(self) -> str:
        """The design in words."""
        return f"{self.design[0]} pairs" if len(self.design) == 1 else "+".join(map(str, self.design))


def false_rungs(job: Job) -> np.ndarray:
    """Share of shifts lit at least once, for each way."""
    world, rng = World(job.cell), np.random.default_rng(job.seed)
    tally = np.array(
        [
            watched(Shift(world, rng, job.design), job.design, naive=run < NAIVE_RUNS)
            for run in range(job.runs)
        ]
    )
    naive = tally[:NAIVE_RUNS, :2].mean(axis=0)
    return np.concatenate([naive, tally[:, 2:].mean(axis=0)])


def jobs(runs: int) -> list[Job]:
    """Every cell with a seed of its own."""
    return [
        Job(tuple(design), Cell(*cell), runs, GRID["seeds"]["looks"] + place)
        for place, (design, cell) in enumerate(GRID["looks"]["cells"])
    ]


def main() -> int:
    """Print the table; 0 only where every cell reaches the goal."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--runs", type=int, default=2000)
    runs = parser.parse_args().runs
    asked = jobs(runs)
    shares = on_both_cores(false_rungs, asked)
    print(f"{'planned':9}{'scatter':26}" + "".join(f"{way:>11}" for way in WAYS) + f"   ({runs} runs a cell)")
    for job, each in zip(asked, shares, strict=True):
        print(f"{job.name:9}{job.cell!s:26}" + "".join(f"{share:11.3f}" for share in each))
    worst = max(each[-1] for each in shares)
    return 0 if worst <= LEVEL + math.sqrt(LEVEL * (1 - LEVEL) / runs) else 1


if __name__ == "__main__":
    sys.exit(main())
