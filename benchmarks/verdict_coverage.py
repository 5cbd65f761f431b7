"""How often the verdict stays silent where nothing differs, beside other ways of looking.

    python -m benchmarks verdict_coverage             2000 shifts a cell
    python -m benchmarks verdict_coverage --runs 100  a short look

Every cell of benchmarks/few_units.yaml draws unit curves without any difference. Printed is the share of
shifts in which zero lay inside at every energy:
    by point   the ordinary 95 % t interval at each energy
    plain      the t band of one energy alone, with the price of looking everywhere
    full       the full band, shape  the shape band, each at half the level
    verdict    both: what `ask real` says
"wide" counts the cells above 0.98. The goal is a verdict of 0.94 in every cell, less one standard error.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Iterator

import numpy as np
from _unit_curves import DESIGNS, GRID, LEVEL, Cell, World, cells, on_both_cores
from scipy.special import stdtr, stdtrit

from edgeshift.questions.real.verdict import CurveEvidence, curves_between

WAYS = ("by point", "plain", "full", "shape", "verdict")
WANTED, WIDE = 0.94, 0.98


def plain_evidence(control: np.ndarray, treated: np.ndarray, paired: bool) -> tuple[np.ndarray, float, int]:
    """|t| at each energy from its own scatter alone, the residuals' path, and the degrees of freedom."""
    arms = [treated - control] if paired else [control, treated]
    rows = np.vstack([arm - arm.mean(axis=0) for arm in arms])
    df = len(rows) - len(arms)
    variance = np.sum(rows**2, axis=0) / df
    error = np.sqrt(variance * sum(1 / len(arm) for arm in arms))
    unit = rows / np.sqrt(np.sum(rows**2, axis=0))
    length = float(np.sum(np.sqrt(np.sum(np.diff(unit, axis=1) ** 2, axis=0))))
    return np.abs(treated.mean(axis=0) - control.mean(axis=0)) / error, length, df


def plain_chance(height: float, length: float, df: int, points: int) -> float:
    """Gaussian kinematic formula for t fields, or Bonferroni where that is smaller and at one df."""
    tail = 2 * float(stdtr(df, -height))
    if df == 1:
        return min(1.0, points * tail)
    return min(1.0, points * tail, tail + length / math.pi * (1 + height**2 / df) ** (-(df - 1) / 2))


def silent(world: World, control: np.ndarray, treated: np.ndarray, paired: bool) -> list[bool]:
    """Whether each way of looking stays inside its 95 % everywhere."""
    t, length, df = plain_evidence(control, treated, paired)
    found = curves_between(world.energy, control, treated, paired)
    return [
        bool(np.all(t <= stdtrit(df, 1 - LEVEL / 2))),
        plain_chance(float(t.max()), length, df, t.size) > LEVEL,
        *both_silent(found),
    ]


def both_silent(found: CurveEvidence) -> list[bool]:
    """Full band, shape band, verdict."""
    return [found.full.chance > LEVEL / 2, found.shape.chance > LEVEL / 2, found.chance > LEVEL]


def coverage(job: tuple[tuple[int, ...], Cell, int, int]) -> np.ndarray:
    """Shares of silent shifts, one for each way, over `runs` seeded shifts of one cell."""
    design, cell, runs, seed = job
    world, rng = World(cell), np.random.default_rng(seed)
    return np.mean([silent(world, *world.draw(rng, design), len(design) == 1) for _ in range(runs)], axis=0)


def jobs(runs: int) -> Iterator[tuple[tuple[int, ...], Cell, int, int]]:
    """Every cell of every design with a seed of its own."""
    for row, design in enumerate(DESIGNS.values()):
        for column, cell in enumerate(cells(design)):
            yield design, cell, runs, GRID["seeds"]["coverage"] + 100 * row + column


def table(runs: int) -> list[tuple[str, Cell, np.ndarray]]:
    """(design, cell, shares) for every cell."""
    asked = list(jobs(runs))
    names = {design: name for name, design in DESIGNS.items()}
    return [
        (names[job[0]], job[1], shares)
        for job, shares in zip(asked, on_both_cores(coverage, asked), strict=True)
    ]


def main() -> int:
    """Print the table; 0 only where every verdict reaches its goal."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--runs", type=int, default=2000)
    runs = parser.parse_args().runs
    rows = table(runs)
    print(f"{'design':9}{'scatter':26}" + "".join(f"{way:>10}" for way in WAYS) + f"   ({runs} runs a cell)")
    for name, cell, shares in rows:
        print(f"{name:9}{cell!s:26}" + "".join(f"{share:10.3f}" for share in shares))
    every = np.array([shares for _, _, shares in rows])
    for words, of in (("lowest", every.min(axis=0)), ("highest", every.max(axis=0))):
        print(f"{words:35}" + "".join(f"{share:10.3f}" for share in of))
    print(f"{'wide, of ' + str(len(rows)):35}" + "".join(f"{n:10d}" for n in np.sum(every > WIDE, axis=0)))
    allowed = WANTED - math.sqrt(WANTED * (1 - WANTED) / runs)
    return 0 if every[:, -1].min() >= allowed else 1


if __name__ == "__main__":
    sys.exit(main())
