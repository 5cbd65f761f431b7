"""How often a feature declared beforehand stays silent where nothing differs, and finds what is there.

    python -m benchmarks feature_coverage             4000 shifts a cell
    python -m benchmarks feature_coverage --runs 200  a short look

The cells of benchmarks/few_units.yaml, and six features. Printed for each design and feature, over all cells:
    lowest, highest  share of shifts without a difference that the t of the units' numbers leaves silent
    found            mean share of differences of five true standard errors that it finds
    borrowed         lowest share silent, and mean share found, if the feature borrowed its scatter from the
                     neighbourhood as the bands do: tried and left out, for it is fooled at lines and wherever
                     units scatter most just where the feature is read
The goal is 0.94 everywhere, one standard error allowed for the best of many cells being looked at.
"""

from __future__ import annotations

import argparse
import math
import sys
from typing import NamedTuple

import numpy as np
from _unit_curves import DESIGNS, GRID, LEVEL, Cell, World, cells, on_both_cores
from scipy.special import stdtrit

from edgeshift.numerics.local_scatter import scatter_of
from edgeshift.questions.real.verdict import features_between

WANTED = 0.94
LOOKED_AT = 3.5
"""Standard errors that the lowest of some thousand cells may lie below its truth by luck alone."""


class Job(NamedTuple):
    """One cell of one design."""

    name: str
    cell: Cell
    runs: int
    seed: int


def slid(energy: np.ndarray, curves: np.ndarray, feature: dict) -> np.ndarray:
    """The feature read at every place of the curve (units, points), as if its windows were slid along."""
    at, half = feature["window"]
    sums = np.concatenate([np.zeros((len(curves), 1)), np.cumsum(curves, axis=1)], axis=1)

    def mean_at(centre: np.ndarray) -> np.ndarray:
        low, high = (np.searchsorted(energy, centre + side * half) for side in (-1, 1))
        high = np.maximum(high, low + 1)
        low, high = np.minimum(low, energy.size - 1), np.minimum(high, energy.size)
        return (sums[:, high] - sums[:, low]) / (high - low)

    first = mean_at(energy)
    if "less" in feature:
        return first - mean_at(energy + feature["less"] - at)
    return first / mean_at(energy + feature["over"] - at) if "over" in feature else first


def borrowed(control: np.ndarray, treated: np.ndarray, paired: bool, place: int) -> tuple[float, float]:
    """Difference of the slid feature at one place, and its half-width by the neighbourhood's scatter."""
    arms = [treated - control] if paired else [control, treated]
    rows = np.vstack([arm - arm.mean(axis=0) for arm in arms])
    df = len(rows) - len(arms)
    found = scatter_of(rows, df)
    error = math.sqrt(found.variance[place] * sum(1 / len(arm) for arm in arms))
    reach = float(stdtrit(found.freedom(df)[place], 1 - LEVEL / 2))
    return float(treated[:, place].mean() - control[:, place].mean()), reach * error


def shares(job: Job) -> dict[str, np.ndarray]:
    """Feature -> (silent, found, silent if borrowed, found if borrowed)."""
    design, world = DESIGNS[job.name], World(job.cell)
    rng, paired = np.random.default_rng(job.seed), len(design) == 1
    drawn = [world.draw(rng, design) for _ in range(job.runs)]
    return {name: _share(world, drawn, paired, feature) for name, feature in GRID["features"].items()}


def _share(world: World, drawn: list, paired: bool, feature: dict) -> np.ndarray:
    place = int(np.searchsorted(world.energy, feature["window"][0]))
    numbers = [tuple(slid(world.energy, arm, feature) for arm in arms) for arms in drawn]
    gaps = [t[:, place].mean() - c[:, place].mean() for c, t in numbers]
    bump, tally = GRID["feature_errors"] * float(np.std(gaps)), []
    for control, treated in numbers:
        plain = [
            features_between(control[:, place], treated[:, place] + add, paired).chance for add in (0, bump)
        ]
        gap, half = borrowed(control, treated, paired, place)
        tally.append([plain[0] > LEVEL, plain[1] <= LEVEL, abs(gap) <= half, abs(gap + bump) > half])
    return np.mean(tally, axis=0)


def jobs(runs: int) -> list[Job]:
    """Every cell with a seed of its own."""
    every = [(name, cell) for name, design in DESIGNS.items() for cell in cells(design)]
    return [Job(*each, runs, GRID["seeds"]["features"] + place) for place, each in enumerate(every)]


def main() -> int:
    """Print the table; 0 only where the t keeps its promise everywhere."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--runs", type=int, default=4000)
    runs = parser.parse_args().runs
    asked = jobs(runs)
    every = on_both_cores(shares, asked)
    head = f"{'lowest':>8}{'highest':>9}{'found':>8}{'borrowed: lowest':>18}{'found':>8}"
    print(f"{'design':9}{'feature':34}{head}   ({runs} runs a cell)")
    lowest = 1.0
    for name in DESIGNS:
        for feature in GRID["features"]:
            mine = np.array([s[feature] for job, s in zip(asked, every, strict=True) if job.name == name])
            low, high, mean = mine.min(axis=0), mine.max(axis=0), mine.mean(axis=0)
            lowest = min(lowest, low[0])
            # Slid to where its divisor is zero a ratio is no number, so it has no neighbourhood.
            lent = "" if "over" in GRID["features"][feature] else f"{low[2]:18.3f}{mean[3]:8.2f}"
            print(f"{name:9}{feature:34}{low[0]:8.3f}{high[0]:9.3f}{mean[1]:8.2f}{lent}")
    return 0 if lowest >= WANTED - LOOKED_AT * math.sqrt(WANTED * (1 - WANTED) / runs) else 1


if __name__ == "__main__":
    sys.exit(main())
