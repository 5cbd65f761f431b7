"""The load lock pumping down: one line a quarter minute, as its gauge wrote it. Invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

BASE_MBAR = 2.0e-8
DRY_MBAR_MIN = 2.1e-5
WATER_MBAR_MIN_PER_MG = 4.2e-5
"""Chosen so that a dry load passes 1e-6 mbar after about 21 min and each mg of water adds about 43 min."""
PORES_MBAR_SQRT_MIN = 1.0e-6
"""For each unit of tape or pores, which give gas as the root of time."""
EVERY_MIN, FIRST_MIN = 0.25, 1.0
NOISE = 0.02


@dataclass(frozen=True)
class Load:
    """What is pumped: how long before the first scan, how much water (mg), tape or pores, and a leak."""

    name: str
    begins_min: float = -65.0
    lasts_min: float = 60.0
    water_mg: float = 0.0
    pores: float = 0.0
    leak_mbar: float = 0.0


def pressure_mbar(load: Load, minutes: np.ndarray) -> np.ndarray:
    """Pressure (points,) at times since pumping began, min, before the gauge's noise."""
    gas = (DRY_MBAR_MIN + WATER_MBAR_MIN_PER_MG * load.water_mg) / minutes
    return BASE_MBAR + load.leak_mbar + gas + PORES_MBAR_SQRT_MIN * load.pores / np.sqrt(minutes)


def chamber_mbar(loads: Sequence[Load], at_s: float) -> float:
    """Pressure around the specimens at a moment of the day, s: what was pumped last goes on giving gas."""
    last = max(loads, key=lambda load: load.begins_min + load.lasts_min, default=Load(""))
    return float(pressure_mbar(last, np.array(at_s / 60.0 - last.begins_min)))


def log_bytes(load: Load, rng: np.random.Generator) -> bytes:
    """The gauge's log as a plain table: minutes since pumping began, mbar."""
    minutes = np.arange(FIRST_MIN, load.lasts_min + EVERY_MIN / 2, EVERY_MIN)
    read = pressure_mbar(load, minutes) * np.exp(NOISE * rng.standard_normal(minutes.size))
    lines = ["# load lock gauge, invented", f"# load: {load.name}", "# minutes  mbar"]
    lines += [f"{at:9.2f}  {value:.3e}" for at, value in zip(minutes, read, strict=True)]
    return ("\n".join(lines) + "\n").encode("ascii")
