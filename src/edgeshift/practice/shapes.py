"""Lines on arctangent steps, seen through a monochromator. Energies in eV, heights in edge steps."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

GAUSSIAN_SHARE = 0.6
"""Of a line's height; the rest is Lorentzian (invented for practice)."""
FINE_EV = 0.02
"""Spacing of the energies on which shapes are made."""
MARGIN_EV = 6.0
"""Shapes are made this far beyond the scan, so that blurring has something to blur at its ends."""


class Shape(NamedTuple):
    """One line or step: where, how wide (FWHM), how high."""

    at_ev: float
    width_ev: float
    height: float


def line(energy_ev: np.ndarray, shape: Shape) -> np.ndarray:
    """A line (points,): Gaussian and Lorentzian of one FWHM."""
    off = (2.0 * (energy_ev - shape.at_ev) / shape.width_ev) ** 2
    return shape.height * (GAUSSIAN_SHARE * np.exp2(-off) + (1.0 - GAUSSIAN_SHARE) / (1.0 + off))


def step(energy_ev: np.ndarray, shape: Shape) -> np.ndarray:
    """An arctangent step (points,) from 0 to its height; the width is the FWHM of its slope."""
    return shape.height * (np.arctan2(2.0 * (energy_ev - shape.at_ev), shape.width_ev) / math.pi + 0.5)


def fine_energies(low_ev: float, high_ev: float) -> np.ndarray:
    """Even energies from a margin below to a margin above."""
    count = round((high_ev - low_ev + 2.0 * MARGIN_EV) / FINE_EV) + 1
    return low_ev - MARGIN_EV + FINE_EV * np.arange(count)


def blurred(curves: np.ndarray, fwhm_ev: float) -> np.ndarray:
    """Curves (rows, points) on fine energies, each seen with a Gaussian resolution; 0 leaves them."""
    if fwhm_ev <= 0.0:
        return curves
    reach = int(math.ceil(1.5 * fwhm_ev / FINE_EV))
    kernel = np.exp2(-((2.0 * FINE_EV * np.arange(-reach, reach + 1) / fwhm_ev) ** 2))
    kernel /= kernel.sum()
    padded = np.pad(curves, ((0, 0), (reach, reach)), mode="edge")
    return np.array([np.convolve(row, kernel, mode="valid") for row in padded])
