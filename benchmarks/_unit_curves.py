"""Unit curves with known scatter, drawn as few_units.yaml says; shared by everything measured on them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache, cached_property
from multiprocessing import Pool
from pathlib import Path
from typing import NamedTuple

import numpy as np
from ruamel.yaml import YAML

GRID = YAML(typ="safe").load(Path(__file__).with_name("few_units.yaml"))
LEVEL = GRID["level"]
DESIGNS: dict[str, tuple[int, ...]] = {name: tuple(sizes) for name, sizes in GRID["designs"].items()}
"""Units of control and treated; one number: pairs."""


class Cell(NamedTuple):
    """A kind of scatter, how its variance runs, and what else is special."""

    scatter: str
    variance: str
    special: str = ""

    def __str__(self) -> str:
        return ", ".join(part for part in self if part and part != "constant")


def cells(design: tuple[int, ...]) -> list[Cell]:
    """Those that make sense for a design: pairs have no arms, equal numbers need no turning."""
    left_out = set() if len(design) == 2 else {"arms", "arms turned"}
    if len(set(design)) == 1:
        left_out.add("arms turned")
    return [Cell(*words) for words in GRID["cells"] if Cell(*words).special not in left_out]


class World:
    """One cell: energies, mean curve, and how to draw units of it."""

    def __init__(self, cell: Cell) -> None:
        self.cell = cell
        self.energy = energies("uneven" if cell.special == "uneven" else "even")
        self.mean = mean_curve(self.energy)
        self.slope = np.gradient(self.mean, self.energy)

    def draw(self, rng: np.random.Generator, design: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
        """Control and treated unit curves (units, points) without any difference."""
        if len(design) == 1:
            kind, times = GRID["pair_scatter"]
            shared = self.mean + times * self._scatter(rng, design[0], kind)
            return shared, shared + self.units(rng, design[0], 1.0)
        variances = {"arms": GRID["arms"], "arms turned": GRID["arms"][::-1]}.get(self.cell.special, (1, 1))
        control, treated = (
            self.mean + self.units(rng, count, variance)
            for count, variance in zip(design, variances, strict=True)
        )
        return control, treated

    def units(self, rng: np.random.Generator, count: int, variance: float) -> np.ndarray:
        """What `count` units (or pairs) wander from their mean (count, points)."""
        if self.cell.scatter in GRID["nested"]:
            wander = np.array([self._nested(rng, place) for place in range(count)])
        else:
            wander = self._scatter(rng, count, self.cell.scatter)
        if self.cell.special == "tails":
            df = GRID["tails_df"]
            wander = wander * np.sqrt((df - 2) / rng.chisquare(df, (count, 1)))
        return np.sqrt(variance) * self.profile * wander

    @cached_property
    def profile(self) -> np.ndarray:
        """Standard deviation along the curve (points,), in units of the scatter's own."""
        words = GRID["variance"][self.cell.variance]
        if "ends" in words:
            return np.sqrt(words["ends"] ** (1 - self.energy))
        if "peak" in words:
            at, width, on_top = words["peak"]
            return np.sqrt(1 + on_top * line(self.energy, at, width))
        return np.ones_like(self.energy)

    def _scatter(self, rng: np.random.Generator, count: int, kind: str) -> np.ndarray:
        words = GRID["scatter"][kind]
        found = sum(deviation * self._wave(rng, count, length) for length, deviation in words["curves"])
        if "phase" in words:
            other = mean_curve(self.energy - words["shift"]) - self.mean
            found = found + words["phase"] * rng.standard_normal((count, 1)) * other
        found = found + words.get("height", 0) * rng.standard_normal((count, 1)) * self.mean
        return found + words.get("slide", 0) * rng.standard_normal((count, 1)) * self.slope

    def _nested(self, rng: np.random.Generator, place: int) -> np.ndarray:
        words = GRID["nested"][self.cell.scatter]

        def wave(level: str, share: float) -> np.ndarray:
            length, deviation = words[level]
            return deviation * share * self._wave(rng, 1, length)[0]

        spots = [
            wave("spots", 1.0) + wave("scans", 1 / np.sqrt(1 + (place + spot) % 3))
            for spot in range(1 + place % 3)
        ]
        return wave("units", 1.0) + np.mean(spots, axis=0)

    def _wave(self, rng: np.random.Generator, count: int, length: float) -> np.ndarray:
        """Gaussian curves of variance one (count, points); length 0: white."""
        white = rng.standard_normal((count, self.energy.size))
        if not length:
            return white
        return white @ _root(length, self.energy.tobytes())


def difference(control: np.ndarray, treated: np.ndarray) -> np.ndarray:
    """Treated less control, means of units (points,)."""
    return treated.mean(axis=0) - control.mean(axis=0)


@cache
def true_error(cell: Cell, design: tuple[int, ...]) -> np.ndarray:
    """True standard error of the difference of means (points,), from 2000 draws."""
    world, rng = World(cell), np.random.default_rng(1)
    return np.std([difference(*world.draw(rng, design)) for _ in range(2000)], axis=0)


@cache
def energies(grid: str) -> np.ndarray:
    """Energies 0..1 (points,) with the densities that the grid asks for."""
    starts, ends, densities = np.array(GRID["grids"][grid], float).T
    share = (ends - starts) * densities
    place = np.linspace(0, share.sum(), GRID["points"])
    return np.interp(place, np.r_[0, np.cumsum(share)], np.r_[starts[0], ends])


def mean_curve(energy: np.ndarray) -> np.ndarray:
    """The curve that all units share (points,), in edge steps."""
    words = GRID["mean_curve"]
    curve = 0.5 + np.arctan((energy - words["step"]["at"]) / words["step"]["half_width"]) / np.pi
    return curve + sum(height * line(energy, at, width) for at, width, height in words["lines"])


def line(energy: np.ndarray, at: float, width: float) -> np.ndarray:
    """A Gaussian of height one and this full width at half height."""
    return np.exp(-4 * np.log(2) * ((energy - at) / width) ** 2)


@cache
def _root(length: float, energy: bytes) -> np.ndarray:
    """What turns white noise into Gaussian curves of correlation exp(-d^2 / 2 length^2) (points, points)."""
    apart = np.subtract.outer(np.frombuffer(energy), np.frombuffer(energy)) / length
    values, vectors = np.linalg.eigh(np.exp(-0.5 * apart**2))
    return (vectors * np.sqrt(np.clip(values, 0, None))) @ vectors.T


def on_both_cores(task: Callable, jobs: Iterable) -> list:
    """`task(job)` for every job, in order, on two processes."""
    with Pool(2) as pool:
        return pool.map(task, list(jobs), chunksize=1)
