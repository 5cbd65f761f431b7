"""How often the verdict finds a difference that is there, beside an oracle that knows the scatter.

    python -m benchmarks verdict_power             400 shifts a cell
    python -m benchmarks verdict_power --runs 50   a short look

The same cells as verdict_coverage, with a bump of 4.5 true standard errors after the edge and at the white
line (benchmarks/few_units.yaml). Printed is the mean over all cells of a design of the share found by
    oracle   knows the scatter at every energy and the price of looking everywhere
    plain    the t band of one energy alone
    full, shape, verdict   as in verdict_coverage
and, with --cells, the same for each cell.
"""

from __future__ import annotations

import argparse
import sys
from typing import NamedTuple

import numpy as np
from _unit_curves import DESIGNS, GRID, LEVEL, Cell, World, cells, difference, on_both_cores, true_error
from verdict_coverage import both_silent, plain_chance, plain_evidence

from edgeshift.questions.real.verdict import curves_between

WAYS = ("oracle", "plain", "full", "shape", "verdict")
GOALS = {
    "after the edge": {"2+2": 0.60, "3+3": 0.80, "4+4": 0.88, "8+8": 0.92, "3 pairs": 0.60},
    "white line": {"2+2": 0.35, "3+3": 0.55, "4+4": 0.68, "8+8": 0.80, "3 pairs": 0.38},
}


class Job(NamedTuple):
    """One cell of one design, with one effect."""

    name: str
    cell: Cell
    effect: str
    runs: int
    seed: int


def oracle_height(world: World, design: tuple[int, ...], error: np.ndarray) -> float:
    """What the farthest of all energies exceeds in one shift of twenty, the scatter being known."""
    rng = np.random.default_rng(2)
    drawn = [np.max(np.abs(difference(*world.draw(rng, design)) / error)) for _ in range(2000)]
    return float(np.quantile(drawn, 1 - LEVEL))


def found(world: World, control: np.ndarray, treated: np.ndarray, paired: bool) -> list[bool]:
    """Whether the plain band, the full band, the shape band and the verdict leave zero anywhere."""
    t, length, df = plain_evidence(control, treated, paired)
    plain = plain_chance(float(t.max()), length, df, t.size) <= LEVEL
    silent = both_silent(curves_between(world.energy, control, treated, paired))
    return [plain, *(not each for each in silent)]


def power(job: Job) -> np.ndarray:
    """Shares of shifts in which each way finds the bump."""
    design, world = DESIGNS[job.name], World(job.cell)
    error = true_error(job.cell, design)
    at, deviation = GRID["effects"][job.effect]
    size = GRID["effect_errors"] * np.interp(at, world.energy, error)
    bump = size * np.exp(-0.5 * ((world.energy - at) / deviation) ** 2)
    limit = oracle_height(world, design, error)
    rng, tally = np.random.default_rng(job.seed), []
    for _ in range(job.runs):
        control, treated = world.draw(rng, design)
        treated = treated + bump
        known = bool(np.any(np.abs(difference(control, treated)) > limit * error))
        tally.append([known, *found(world, control, treated, len(design) == 1)])
    return np.mean(tally, axis=0)


def jobs(runs: int) -> list[Job]:
    """Every cell, design and effect, each with a seed of its own."""
    names = [
        (name, cell, effect)
        for effect in GRID["effects"]
        for name, design in DESIGNS.items()
        for cell in cells(design)
    ]
    return [Job(*each, runs, GRID["seeds"]["power"] + place) for place, each in enumerate(names)]


def means(asked: list[Job], shares: list[np.ndarray], beyond: bool) -> dict[tuple[str, str], np.ndarray]:
    """(effect, design) -> mean share for each way, over the cells of the goals or over those beyond."""
    apart = GRID["beyond_the_goals"]
    mine = [(j, s) for j, s in zip(asked, shares, strict=True) if (j.cell.scatter in apart) == beyond]
    return {
        (effect, name): np.mean([s for j, s in mine if (j.effect, j.name) == (effect, name)], axis=0)
        for effect in GRID["effects"]
        for name in DESIGNS
    }


def main() -> int:
    """Print the table; 0 only where every mean reaches its goal."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--runs", type=int, default=400)
    parser.add_argument("--cells", action="store_true")
    said = parser.parse_args()
    asked = jobs(said.runs)
    shares = on_both_cores(power, asked)
    head = "".join(f"{way:>9}" for way in WAYS)
    if said.cells:
        print(f"{'bump':16}{'design':9}{'scatter':26}{head}")
        for job, each in zip(asked, shares, strict=True):
            print(f"{job.effect:16}{job.name:9}{job.cell!s:26}" + "".join(f"{s:9.3f}" for s in each))
    missed = 0
    for beyond in (False, True):
        cells_of = f"cells of {', '.join(GRID['beyond_the_goals'])}" if beyond else "all other cells"
        print(f"{'bump':16}{'design':9}{head}{'goal':>9}   (mean over {cells_of}, {said.runs} runs a cell)")
        for (effect, name), each in means(asked, shares, beyond).items():
            goal = None if beyond else GOALS[effect].get(name)
            missed += goal is not None and each[-1] < goal
            told = f"{goal:9.2f}" if goal else ""
            print(f"{effect:16}{name:9}" + "".join(f"{s:9.3f}" for s in each) + told)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
