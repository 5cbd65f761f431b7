"""Invented iron edges for mixtures: two arctangent steps and four lines each. No reference data."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from edgeshift.numerics.edges import double_step
from edgeshift.records.standard import Standard

ENERGY = np.linspace(698.0, 740.0, 211)
FERROUS = (708.5, ((706.9, 0.9, 0.5), (707.8, 1.0, 2.4), (709.8, 1.6, 1.0), (720.6, 1.8, 1.2)))
FERRIC = (709.5, ((708.0, 0.9, 1.1), (709.5, 1.1, 3.4), (711.5, 1.8, 0.7), (722.9, 2.0, 1.7)))
LIKE_FERRIC = (709.7, ((708.2, 1.0, 0.7), (709.7, 1.4, 2.9), (712.3, 2.2, 0.5), (723.2, 2.2, 1.5)))


def iron(kind: tuple, energy: np.ndarray = ENERGY) -> np.ndarray:
    """One invented iron, edge step one."""
    first, lines = kind
    step = double_step(energy, (first, first + 13.0), (0.8, 0.8), (2 / 3, 1 / 3))
    peaks = [height * np.exp(-4 * np.log(2) * ((energy - at) / wide) ** 2) for at, wide, height in lines]
    return step + np.sum(peaks, axis=0)


def off(kind: tuple, share: float, slide_ev: float, rng: np.random.Generator, energy: np.ndarray = ENERGY):
    """The same as it would be measured elsewhere: slid, and heights, widths and step off by `share`."""
    first, lines = kind
    slide = slide_ev * rng.choice([-1.0, 1.0])
    moved = tuple(
        (at + slide, wide * (1 + 0.5 * share * rng.normal()), height * (1 + share * rng.normal()))
        for at, wide, height in lines
    )
    return (1 + 0.5 * share * rng.normal()) * iron((first + slide, moved), energy)


def xdi_text(value: np.ndarray, energy: np.ndarray = ENERGY) -> bytes:
    """A curve as an XDI file at Fe L."""
    head = ["# XDI/1.0", "# Column.1: energy eV", "# Column.2: mutrans", "# Element.symbol: Fe"]
    head += ["# Element.edge: L", "#----", "# energy mutrans"]
    rows = [f"{at:.4f} {high:.8f}" for at, high in zip(energy, value, strict=True)]
    return ("\n".join([*head, *rows]) + "\n").encode()


def write_references(place: Path) -> list[str]:
    """Two files, ferrous.xdi and ferric.xdi; their paths."""
    paths = []
    for name, kind in (("ferrous", FERROUS), ("ferric", FERRIC)):
        noise = 1e-3 * np.random.default_rng(len(name)).standard_normal(ENERGY.size)
        path = place / f"{name}.xdi"
        path.write_bytes(xdi_text(iron(kind) + noise))
        paths.append(str(path))
    return paths


TEXT = """\
question: How much of the iron is ferric?
specimens: [{name: clay}, {name: ferric, kind: standard}]
edges: [{edge: Fe L}]
beamline: {name: invented, place: {file_name: '^(?P<specimen>[a-z]+)'}}
"""


def shift_files() -> list[tuple[str, bytes]]:
    """Two scans each of a clay with three parts of ferrous iron in ten, and of a ferric standard."""
    clay = 0.3 * iron(FERROUS) + 0.7 * iron(FERRIC)
    rng = np.random.default_rng(3)
    return [
        (f"{name}_{n}.xdi", xdi_text(0.2 + value + 0.004 * rng.standard_normal(ENERGY.size)))
        for name, value in (("clay", clay), ("ferric", iron(FERRIC)))
        for n in (1, 2)
    ]


def standard(name: str = "ferrous", kind: tuple = FERROUS, slide_ev: float = 0.0, ties=()) -> Standard:
    """A standard as it was measured at another beamline."""
    noise = 0.004 * np.random.default_rng(len(name)).standard_normal(ENERGY.size)
    return Standard(name, "Fe L", ENERGY + slide_ev, 0.2 + iron(kind) + noise, "another beamline", ties)
