"""How often the fan of a mixture holds the truth, beside the formal interval, when references are off.

    python benchmarks/fan_coverage.py [runs]

Invented iron edges are mixed in known shares with noise of 1 % of an edge step. The references that the fit
is given are measured elsewhere: slid by 0.03 to 0.1 eV either way, every line's height off by 3 to 10 %
(standard deviation), widths and step by half of that. The fan is told nothing of these sizes; it trusts
references to 10 % and 0.1 eV throughout, its default. A run counts each reference once.

Exit status 1 where the fan holds the truth in fewer than 90 % of any cell.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import NamedTuple

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from invented_iron import ENERGY, FERRIC, FERROUS, LIKE_FERRIC, iron, off  # noqa: E402

from edgeshift.numerics.fan import Doubt, View, fan  # noqa: E402
from edgeshift.recipe.knobs import Shares  # noqa: E402

NOISE = 0.01
KINDS = {"two references": (FERROUS, FERRIC), "three, two alike": (FERROUS, FERRIC, LIKE_FERRIC)}
SIZES = ((0.03, 0.03), (0.06, 0.06), (0.1, 0.1), (0.03, 0.1), (0.1, 0.03))
GOAL = 0.9
TRUST = Doubt(Shares().slide_ev, Shares().height)


class Cell(NamedTuple):
    """One kind of mixture with references off by one size: how often each interval held the truth, and the
    mean width of each."""

    kind: str
    share: float
    slide_ev: float
    fan: float
    formal: float
    width: float
    formal_width: float


def measured(runs: int) -> list[Cell]:
    """Every cell, the same runs each time."""
    return [_cell(kind, share, slide, runs) for kind in KINDS for share, slide in SIZES]


def _cell(kind: str, share: float, slide: float, runs: int) -> Cell:
    rows = np.array([_trial(KINDS[kind], share, slide, seed) for seed in range(runs)])
    return Cell(kind, share, slide, *(float(each) for each in rows.mean(axis=0)))


def _trial(kinds: tuple, share: float, slide: float, seed: int) -> tuple[float, float, float, float]:
    rng = np.random.default_rng([seed, len(kinds)])
    truth = rng.dirichlet(np.ones(len(kinds)))
    curve = truth @ np.array([iron(kind) for kind in kinds]) + NOISE * rng.standard_normal(ENERGY.size)
    references = np.array([off(kind, share, slide, rng) for kind in kinds])
    views = [
        View(ENERGY[cut], curve[cut], np.full(ENERGY[cut].size, NOISE), references[:, cut])
        for cut in (slice(None), slice(10, 190), slice(20, 170))
    ]
    found = fan(views, [TRUST] * len(kinds), len(kinds))
    held = (found.low - 1e-9 <= truth) & (truth <= found.high + 1e-9)
    formal = np.abs(found.plain - truth) <= found.formal
    return held.mean(), formal.mean(), (found.high - found.low).mean(), 2 * found.formal.mean()


def main() -> None:
    """Print the table and whether it holds."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    print(f"{'mixture':<18} {'heights':>7} {'slides':>8}   fan holds  formal holds   fan's width  formal's")
    cells = measured(runs)
    for one in cells:
        print(
            f"{one.kind:<18} {one.share:>6.0%} {one.slide_ev:>5.2f} eV {one.fan:>11.2f} {one.formal:>13.2f}"
            f" {one.width:>13.2f} {one.formal_width:>9.3f}"
        )
    print(f"lowest {min(one.fan for one in cells):.2f} (goal {GOAL}), {runs} runs a cell")
    sys.exit(0 if min(one.fan for one in cells) >= GOAL else 1)


if __name__ == "__main__":
    main()
