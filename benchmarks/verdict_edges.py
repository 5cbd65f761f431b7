"""How often any of three edges is called different where none is, with the level shared by Holm's rule.

    python -m benchmarks verdict_edges             1000 shifts a cell
    python -m benchmarks verdict_edges --runs 50   a short look

Three edges of one family, independent of one another, for 2+2 units and 3 pairs in some cells of
benchmarks/few_units.yaml. "each alone" judges every edge at 0.05, "shared" is what `ask real` does. The
goal is "shared" at most 0.05, one standard error allowed, in every cell.
"""

from __future__ import annotations

import argparse
import math
import sys
from typing import NamedTuple

import numpy as np
from _unit_curves import DESIGNS, GRID, LEVEL, Cell, World, on_both_cores

from edgeshift.questions.real.family import holm_levels
from edgeshift.questions.real.verdict import curves_between

EDGES = 3
CELLS = (
    ("smooth", "constant"),
    ("medium", "at the edge"),
    ("mixture", "elsewhere"),
    ("phase, noisy", "constant"),
)


class Job(NamedTuple):
    """One cell of one design."""

    name: str
    cell: Cell
    runs: int
    seed: int


def any_called(job: Job) -> np.ndarray:
    """Share of shifts with any edge called different: each alone, and shared."""
    design, world, rng = DESIGNS[job.name], World(job.cell), np.random.default_rng(job.seed)
    tally = []
    for _ in range(job.runs):
        chances = {
            str(edge): curves_between(world.energy, *world.draw(rng, design), len(design) == 1).chance
            for edge in range(EDGES)
        }
        levels = holm_levels(chances, LEVEL)
        alone = any(chance <= LEVEL for chance in chances.values())
        tally.append([alone, any(chances[edge] <= levels[edge] for edge in chances)])
    return np.mean(tally, axis=0)


def main() -> int:
    """Print the table; 0 only where every cell reaches the goal."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--runs", type=int, default=1000)
    runs = parser.parse_args().runs
    places = [(name, Cell(*words)) for name in ("2+2", "3 pairs") for words in CELLS]
    asked = [Job(*place, runs, GRID["seeds"]["edges"] + seed) for seed, place in enumerate(places)]
    shares = on_both_cores(any_called, asked)
    print(f"{'design':9}{'scatter':26}{'each alone':>12}{'shared':>9}   (three edges, {runs} runs a cell)")
    for job, (alone, shared) in zip(asked, shares, strict=True):
        print(f"{job.name:9}{job.cell!s:26}{alone:12.3f}{shared:9.3f}")
    return 0 if max(s[1] for s in shares) <= LEVEL + math.sqrt(LEVEL * (1 - LEVEL) / runs) else 1


if __name__ == "__main__":
    sys.exit(main())
