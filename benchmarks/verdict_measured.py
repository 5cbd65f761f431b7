"""False alarms on measured spectra: spots of two open glasses, split at random and redrawn.

    python -m benchmarks verdict_measured            2000 redrawn shifts a design
    EDGESHIFT_OPEN_DATA=... says where the open data are, if not beside the repository

Fe K scans of PyNa1200 and PyNa1300, three spots each (Le Losq et al. 2025, supporting data, CC BY 4.0).
    pooled    all six spots split into two groups, every way there is; a glass of its own may show
    leveled   the same with each glass's mean taken away, so that nothing at all differs
    redrawn   Gaussian curves with exactly the scatter of the six leveled spots, as many as wanted
Six spots have at most five independent wanderings, so the ways of splitting them are far from independent:
the goal is that "leveled" and "redrawn" lie within their binomial error of 0.05 or below.
"""

from __future__ import annotations

import argparse
import math
import os
import sys
from itertools import combinations
from pathlib import Path

import numpy as np
from _unit_curves import DESIGNS, GRID, LEVEL

from edgeshift.questions.real.verdict import curves_between

HERE = Path(__file__).resolve().parents[1]
GLASSES = ("PyNa1200", "PyNa1300")


def spots() -> tuple[np.ndarray, list[np.ndarray]]:
    """Energies (points,) and for each glass its spots' curves (3, points), reduced as one edge set."""
    sys.path.insert(0, str(HERE / "tests"))
    from open_scans import reduced, scan

    from edgeshift.numerics.grids import bridged, common_grid, onto
    from edgeshift.records.scan import Place

    folder = Path(os.environ.get("EDGESHIFT_OPEN_DATA", HERE.parent / "shared" / "data")) / "redox_glass_raw"
    files = [path for glass in GLASSES for path in sorted(folder.glob(f"{glass}_*.dat"))]
    if not files:
        sys.exit(f"The open glass scans are not at {folder}. Name their folder in EDGESHIFT_OPEN_DATA.")
    scans = [scan(p, "Fe K", Place(p.name.split("_")[0], p.name.split("_")[1])) for p in files]
    found = reduced(scans).spots
    energy = common_grid([s.energy_ev for s in found])
    curves = {
        glass: np.array(
            [
                onto(energy, s.energy_ev, bridged(s.energy_ev, s.value))
                for s in found
                if s.place.specimen == glass
            ]
        )
        for glass in GLASSES
    }
    return energy, list(curves.values())


def splits(energy: np.ndarray, curves: np.ndarray, size: int) -> list[float]:
    """The verdict's chance for every way to take two groups of `size` from the curves, each once."""
    every, chances = range(len(curves)), []
    for first in combinations(every, size):
        rest = [i for i in every if i not in first]
        for second in combinations(rest, size):
            if first < second:
                chances.append(
                    curves_between(energy, curves[list(first)], curves[list(second)], False).chance
                )
    return chances


def redrawn(energy: np.ndarray, curves: np.ndarray, design: tuple[int, ...], runs: int, seed: int) -> float:
    """Share of shifts called different, all drawn with the scatter of these curves."""
    mean, rows = curves.mean(axis=0), curves - curves.mean(axis=0)
    rows = rows / math.sqrt(len(rows) - 1)
    rng, paired, lit = np.random.default_rng(seed), len(design) == 1, 0
    for _ in range(runs):
        control, treated = (
            mean + rng.standard_normal((count, len(rows))) @ rows for count in (design[0], design[-1])
        )
        lit += curves_between(energy, control, treated, paired).chance <= LEVEL
    return lit / runs


def main() -> int:
    """Print the table; 0 only where false alarms are no more than 0.05 within their error."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--runs", type=int, default=2000)
    runs = parser.parse_args().runs
    energy, glasses = spots()
    pooled = np.vstack(glasses)
    leveled = np.vstack([glass - glass.mean(axis=0) for glass in glasses]) + pooled.mean(axis=0)
    error = math.sqrt(LEVEL * (1 - LEVEL) / runs)
    kept = True
    print(f"{len(pooled)} spots, {energy.size} energies")
    for size in (2, 3):
        for name, curves in (("pooled", pooled), ("leveled", leveled)):
            chances = np.array(splits(energy, curves, size))
            alarms = int(np.sum(chances <= LEVEL))
            kept &= name == "pooled" or alarms <= LEVEL * chances.size + 2 * math.sqrt(LEVEL * chances.size)
            print(f"{name:9}{size}+{size}: {alarms} of {chances.size} ways called different")
    for place, (name, design) in enumerate(DESIGNS.items()):
        share = redrawn(energy, leveled, design, runs, GRID["seeds"]["glass"] + place)
        kept &= share <= LEVEL + 2 * error
        print(f"{'redrawn':9}{name}: {share:.3f} of {runs} shifts called different")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
