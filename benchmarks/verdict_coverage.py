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
KINDS = {
    **dict.fromkeys(("height", "slide", "both"), "height, slide, both"),
    **dict.fromkeys(GRID["nested"], "nested, unequal"),
    **dict.fromkeys(("arms", "arms turned"), "arms 1 to 3"),
    "tails": "tails of t, 5 df",
    "elsewhere": "variance peak elsewhere",
    "uneven": "uneven energies",
}
Row = tuple[str, Cell, np.ndarray]
"""Design, cell, and the share of silent shifts for each way."""


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


def table(runs: int) -> list[Row]:
    """(design, cell, shares) for every cell."""
    asked = list(jobs(runs))
    names = {design: name for name, design in DESIGNS.items()}
    return [
        (names[job[0]], job[1], shares)
        for job, shares in zip(asked, on_both_cores(coverage, asked), strict=True)
    ]


def families(rows: list[Row]) -> dict[str, list[Row]]:
    """The same rows by number of units, and by kind of scatter."""
    found: dict[str, list[Row]] = {name: [] for name in DESIGNS}
    for row in rows:
        name, cell, _ = row
        of_scatter = cell.special or (cell.variance if cell.variance == "elsewhere" else cell.scatter)
        for family in (name, KINDS.get(of_scatter, of_scatter)):
            found.setdefault(family, []).append(row)
    return found


def print_cells(rows: list[Row]) -> None:
    """Every cell."""
    for name, cell, shares in rows:
        print(f"{name:9}{cell!s:26}" + "".join(f"{share:10.3f}" for share in shares))


def print_families(rows: list[Row]) -> None:
    """Lowest and highest of each family, and of all; how many cells are wider than need be."""
    print(f"\n{'cells':27}" + "".join(f"{way:>13}" for way in WAYS))
    for family, mine in [*families(rows).items(), ("all", rows)]:
        every = np.array([shares for _, _, shares in mine])
        ranges = zip(every.min(axis=0), every.max(axis=0), strict=True)
        print(f"{family + f' ({len(mine)})':27}" + "".join(f"{low:7.3f}-{high:.3f}" for low, high in ranges))
    wide = np.sum(np.array([shares for _, _, shares in rows]) > WIDE, axis=0)
    print(f"{f'above {WIDE}':27}" + "".join(f"{count:13d}" for count in wide))


def main() -> int:
    """Print the table; 0 only where every verdict reaches its goal."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--runs", type=int, default=2000)
    runs = parser.parse_args().runs
    rows = table(runs)
    print(f"{'design':9}{'scatter':26}" + "".join(f"{way:>10}" for way in WAYS) + f"   ({runs} runs a cell)")
    print_cells(rows)
    print_families(rows)
    allowed = WANTED - math.sqrt(WANTED * (1 - WANTED) / runs)
    return 0 if min(shares[-1] for _, _, shares in rows) >= allowed else 1


if __name__ == "__main__":
    sys.exit(main())
