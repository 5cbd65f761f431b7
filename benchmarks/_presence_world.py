"""Invented scans of one element around its detection limit, for presence_rates; knows no practice shift.

Everything that could be learnt by heart is drawn: element, place, width, ratio, ground, noise, grid, beam.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from edgeshift.records.scan import Channel, Scan

LINES = {
    "K": (294.1, 2.7), "Ca": (346.3, 3.5), "Sc": (401.0, 4.9), "Ti": (454.7, 6.2), "V": (512.5, 7.7),
    "Cr": (574.3, 9.5), "Mn": (639.5, 11.1), "Fe": (707.4, 13.0), "Ni": (853.7, 17.2),
}  # fmt: skip
"""L3 about here and L2 so far above it, eV: the middle of what tables say. Cobalt is left out: barium's pair
stands in the same window at the same distance, so an honest tool cannot tell."""
STEPS = {"N": 405.0, "O": 537.5, "F": 691.0, "Na": 1071.4, "Mg": 1304.0, "Al": 1559.3, "Si": 1839.0}
"""K about here, eV."""


@dataclass(frozen=True)
class World:
    """One drawn case. `amount` is the height of the first line, or of the step, over the ground."""

    element: str
    edge: str
    amount: float
    seed: int

    def scan(self, amount: float) -> Scan:
        """The scan with so much of the element; the same noise, ground and beam for any amount."""
        rng = np.random.default_rng([self.seed, 1])
        pair = self.edge.endswith("L")
        at, split = LINES[self.element] if pair else (STEPS[self.element], 0.0)
        energy = _energies(rng, at, split)
        shape = _pair(rng, energy, at, split) if pair else _step(rng, energy, at)
        bend = 1.0 + rng.uniform(-0.02, 0.02) * np.sin((energy - at) / rng.uniform(25.0, 60.0))
        ground = (energy / energy[0]) ** -rng.uniform(0.5, 3.0) * bend
        dip = rng.uniform(0.0, 0.15) * np.exp(
            -2.77 * ((energy - at - rng.uniform(-25, 25)) / rng.uniform(2, 8)) ** 2
        )
        light = (1.0 - dip) * (1.0 + 0.002 * rng.standard_normal(energy.size))
        noise = rng.uniform(0.002, 0.01)
        yields = (ground + amount * shape) * (1.0 + noise * rng.standard_normal(energy.size))
        monitor = light * (1.0 + rng.uniform(0.0, 0.5) * dip)
        channels = {
            "electron-yield": Channel(
                "electron-yield", -1e-10 * (light * yields)[None], "A", ("drain",), sign=-1
            ),
            "i0": Channel("i0", 1.5 * monitor[None], "V", ("mesh",)),
        }
        key, dwell = f"scan-{self.seed:06d}", np.full(energy.size, 0.5)
        return Scan(
            key, f"{key}.dat", f"{self.seed:064d}", self.edge, energy, dwell, channels, "electron-yield"
        )


def draw(seed: int) -> World:
    """The case of a seed."""
    rng = np.random.default_rng([seed, 0])
    names = [*LINES, *STEPS]
    element = str(names[rng.integers(len(names))])
    amount = float(10 ** rng.uniform(-2.3, -0.3))
    return World(element, f"{element} {'L' if element in LINES else 'K'}", amount, seed)


def _energies(rng: np.random.Generator, at: float, split: float) -> np.ndarray:
    """A fine scan of the edge, or a stretch of a coarse survey."""
    if rng.random() < 0.7:
        energy = np.arange(at - rng.uniform(14, 22), at + split + rng.uniform(32, 45), rng.uniform(0.1, 0.3))
    else:
        energy = np.arange(at - rng.uniform(30, 80), at + split + rng.uniform(40, 90), rng.uniform(0.5, 0.9))
    return energy + 0.02 * float(np.diff(energy)[0]) * rng.standard_normal(energy.size)


def _pair(rng: np.random.Generator, energy: np.ndarray, at: float, split: float) -> np.ndarray:
    """Two lines and their steps; the first line one high."""
    first, apart = at + rng.uniform(0.0, 4.0), split * rng.uniform(0.93, 1.07)
    width, ratio, step = rng.uniform(0.7, 2.2), rng.uniform(1.0, 2.8), rng.uniform(0.05, 0.25)
    if split < 4.0:
        width = min(width, 0.35 * split)
    total = np.zeros(energy.size)
    for place, height, wide in ((first, 1.0, width), (first + apart, 1.0 / ratio, 1.2 * width)):
        total += height / (1.0 + (2.0 * (energy - place) / wide) ** 2) ** 1.3
        total += step * height * (0.5 + np.arctan(2.0 * (energy - place) / wide) / np.pi)
    return total


def _step(rng: np.random.Generator, energy: np.ndarray, at: float) -> np.ndarray:
    """A step of one with a white line and a hump."""
    rise, wide = at + rng.uniform(-1.0, 6.0), rng.uniform(0.8, 3.0)
    total = 0.5 + np.arctan(2.0 * (energy - rise) / wide) / np.pi
    total += rng.uniform(0.0, 1.2) * np.exp(-2.77 * ((energy - rise - 1.5) / rng.uniform(1.5, 4.0)) ** 2)
    return total + rng.uniform(0.0, 0.3) * np.exp(-2.77 * ((energy - rise - rng.uniform(12, 20)) / 10.0) ** 2)
