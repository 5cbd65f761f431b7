"""What each step of the verdict is for: coverage and power with one step changed at a time.

    python -m benchmarks verdict_ablation             400 shifts a cell
    python -m benchmarks verdict_ablation --runs 50   a short look

For 2+2 and 3+6 units, over all cells of benchmarks/few_units.yaml: the mean and the lowest share of silent
shifts without a difference and the cell of the lowest, and the mean share found of a bump after the edge and
at the white line. A step that costs no coverage and lends no power when it is left out would not have earned
its place. The lowest of some thirty cells lies a good two standard errors low by luck alone.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import NamedTuple
from unittest.mock import patch

import numpy as np
from _unit_curves import DESIGNS, GRID, LEVEL, Cell, World, cells, on_both_cores, true_error

from edgeshift.numerics import local_scatter
from edgeshift.numerics.local_scatter import Scatter
from edgeshift.questions.real import verdict

ASKED = ("2+2", "3+6")


def _point_by_point(residuals: np.ndarray, df: int) -> Scatter:
    """Each point knows only its own scatter, and luck has them all."""
    square = np.sum(residuals**2, axis=0) / df
    return Scatter(square, np.zeros_like(square), np.ones_like(square), math.inf, df)


@contextmanager
def changed(module: object, **names: object) -> Iterator[None]:
    """Some names of a module replaced for a while."""
    with ExitStack() as stack:
        for name, value in names.items():
            stack.enter_context(patch.object(module, name, value))
        yield


def _without_excess(residuals: np.ndarray, df: int) -> Scatter:
    found = local_scatter.scatter_of(residuals, df)
    return found._replace(excess=np.zeros_like(found.wide))


def _in_squares(self: Scatter, own: float) -> np.ndarray:
    return self.variance**2 / (self.wide**2 * self.alike / own + self.excess**2 / own)


def _one_freedom(self: Scatter, own: float) -> np.ndarray:
    """The wide part's freedom everywhere, as if the excess were as well known."""
    return own / self.alike


def _full_only(full: verdict.Evidence, shape: Callable) -> verdict.CurveEvidence:
    return verdict.CurveEvidence(full)


def _shape_only(full: verdict.Evidence, shape: Callable) -> verdict.CurveEvidence:
    return verdict.CurveEvidence(shape())


def _pooled_arms(control: np.ndarray, treated: np.ndarray) -> verdict.Evidence:
    rows, df = verdict._inside([control, treated])
    weight = 1 / len(control) + 1 / len(treated)
    return verdict._pooled(treated.mean(axis=0) - control.mean(axis=0), rows, df, weight)


def _offset_and_slope(energy: np.ndarray, mean: np.ndarray) -> np.ndarray:
    return np.vstack([np.ones_like(mean), energy])


STEPS: dict[str, Callable] = {
    "as it is": lambda: changed(verdict),
    "no neighbourhood at all": lambda: changed(verdict, scatter_of=_point_by_point),
    "no excess": lambda: changed(verdict, scatter_of=_without_excess),
    "freedom of the excess ignored": lambda: changed(Scatter, freedom=_one_freedom),
    "errors added in squares": lambda: changed(Scatter, freedom=_in_squares),
    "likeness along the curve only": lambda: changed(local_scatter, _whole_likeness=lambda rows, df: 0.0),
    "likeness not raised": lambda: changed(local_scatter, raised=lambda df: 1.0),
    "raised by 1 + 1 / df": lambda: changed(local_scatter, raised=lambda df: 1 + 1 / df),
    "not read along itself": lambda: changed(verdict, _along=lambda *parts: 0.0),
    "along itself, no place favoured": lambda: changed(verdict, POWER=1),
    "wide 0.10": lambda: changed(local_scatter, WIDE=0.10),
    "wide 0.25": lambda: changed(local_scatter, WIDE=0.25),
    "close 0.005": lambda: changed(local_scatter, CLOSE=0.005),
    "close 0.02": lambda: changed(local_scatter, CLOSE=0.02),
    "full band only": lambda: changed(verdict, _both=_full_only),
    "shape band only": lambda: changed(verdict, _both=_shape_only),
    "shape: offset and slope only": lambda: changed(verdict, usual_directions=_offset_and_slope),
    "unequal arms pooled": lambda: changed(verdict, _of_arms=_pooled_arms),
}


class Job(NamedTuple):
    """One cell of one design under one change."""

    step: str
    name: str
    cell: Cell
    runs: int
    seed: int


def measured(job: Job) -> np.ndarray:
    """Share silent without a difference, and shares found of each effect."""
    design, world = DESIGNS[job.name], World(job.cell)
    error, rng = true_error(job.cell, design), np.random.default_rng(job.seed)
    bumps = [np.zeros_like(error)]
    for at, deviation in GRID["effects"].values():
        size = GRID["effect_errors"] * np.interp(at, world.energy, error)
        bumps.append(size * np.exp(-0.5 * ((world.energy - at) / deviation) ** 2))
    with STEPS[job.step]():
        lit = [
            [verdict.curves_between(world.energy, c, t + b, len(design) == 1).chance <= LEVEL for b in bumps]
            for c, t in (world.draw(rng, design) for _ in range(job.runs))
        ]
    silent, *found = np.mean(lit, axis=0)
    return np.array([1 - silent, *found])


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--runs", type=int, default=400)
    runs = parser.parse_args().runs
    places = [(name, cell) for name in ASKED for cell in cells(DESIGNS[name])]
    asked = [
        Job(step, *place, runs, GRID["seeds"]["ablation"] + seed)
        for step in STEPS
        for seed, place in enumerate(places)
        if step != "unequal arms pooled" or place[0] == "3+6"
    ]
    shares = on_both_cores(measured, asked)
    head = f"{'changed':33}{'design':8}{'silent':>8}{'lowest':>8}{'edge':>7}{'line':>7}"
    print(f"{head}   lowest in ({runs} runs a cell)")
    for step in STEPS:
        for name in ASKED:
            mine = [
                (j.cell, s) for j, s in zip(asked, shares, strict=True) if (j.step, j.name) == (step, name)
            ]
            if mine:
                cell, low = min(mine, key=lambda each: each[1][0])
                silent, edge, line = np.mean([s for _, s in mine], axis=0)
                print(f"{step:33}{name:8}{silent:8.3f}{low[0]:8.3f}{edge:7.2f}{line:7.2f}   {cell}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
