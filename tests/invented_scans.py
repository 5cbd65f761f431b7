"""Small invented scans of known elements for tests: steps and pairs of lines on a falling ground."""

from __future__ import annotations

import numpy as np

from edgeshift.questions import here
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.answer import Answer
from edgeshift.records.scan import Channel, Place, Scan
from edgeshift.reduction.pipeline import flagged

CLAY = Place("CLAY", "s1")


def step(energy: np.ndarray, at: float, height: float = 1.0) -> np.ndarray:
    """A rise about 1.5 eV wide."""
    return height * (0.5 + np.arctan((energy - at) / 0.7) / np.pi)


def line(energy: np.ndarray, at: float, height: float, width: float = 1.2) -> np.ndarray:
    """A line of this FWHM."""
    return height * np.exp(-2.773 * ((energy - at) / width) ** 2)


def iron(energy: np.ndarray, height: float = 0.5) -> np.ndarray:
    """L3 and L2 where iron has them, 13.1 eV apart."""
    pair = line(energy, 709.0, height) + line(energy, 722.1, 0.5 * height, 1.6)
    return pair + step(energy, 709.0, 0.10 * height) + step(energy, 722.1, 0.05 * height)


def aluminium(energy: np.ndarray, height: float = 0.4) -> np.ndarray:
    """A K step with its white line."""
    return step(energy, 1566.5, height) + line(energy, 1568.0, 0.6 * height, 2.5)


def scan(
    energy: np.ndarray,
    extra: np.ndarray,
    *,
    edge: str | None = None,
    place: Place = CLAY,
    noise: float = 0.003,
    seed: int = 1,
    beam: np.ndarray | None = None,
    signal: str = "electron-yield",
) -> Scan:
    """A yield of one on a ground that falls by its power of 1.5, with `extra` on it; noise is relative."""
    rng = np.random.default_rng(seed)
    light = np.ones(energy.size) if beam is None else beam
    light = light * (1.0 + 0.002 * rng.standard_normal(energy.size))
    value = ((energy / energy[0]) ** -1.5 + extra) * (1.0 + noise * rng.standard_normal(energy.size))
    channels = {
        signal: Channel(signal, (1e-10 * light * value)[None], "A", ("drain",)),
        "i0": Channel("i0", light[None], "V", ("mesh",)),
    }
    key = f"scan-{seed:03d}"
    dwell = np.ones(energy.size)
    return Scan(key, f"{seed:04d}.dat", f"{seed:064d}", edge, energy, dwell, channels, signal, place=place)


def asked(*scans: Scan, text: dict | None = None, **more) -> Answer:
    """What is here, from these scans."""
    passes = [each for one in scans for each in flagged([one], Recipe())]
    return here.answer(passes, Experiment.model_validate(text or {}), **more)


FE_L = np.arange(694.0, 746.0, 0.2)
AL_K = np.arange(1545.0, 1612.0, 0.3)
