"""Where a beam lies: the fit of a scan across a specimen, the footprint, and what a proud phosphor does."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

FWHM = 2 * math.sqrt(2 * math.log(2))
"""Full width at half maximum over sigma of a Gaussian: 2.355."""
FEWEST = 8
CONTRAST = 6.0
"""The step must stand out from what the fit leaves by so many of its sigma."""


class Across(NamedTuple):
    """A specimen between two edges, mm, as a beam of sigma `s` mm saw it; an edge not crossed is None.

    `sigma` is that of an edge's place. `height` is the signal on it over that beside it.
    """

    left: float | None
    right: float | None
    s: float
    height: float
    sigma: float

    @property
    def fwhm(self) -> float:
        """Of the beam along the scan, mm."""
        return FWHM * self.s


def footprint_mm(beam_mm: float, grazing_deg: float) -> float:
    """A beam's length on a surface that it meets at a grazing angle: b / sin(alpha)."""
    return beam_mm / math.sin(math.radians(grazing_deg))


def spot_offset_mm(proud_mm: float, grazing_deg: float) -> float:
    """How far along a surface the beam lands from where a proud phosphor showed it: dz cot(alpha)."""
    return proud_mm / math.tan(math.radians(grazing_deg))


def across(mm: np.ndarray, signal: np.ndarray) -> Across:
    """The best of three fits to a scan: a specimen with both edges, with its left one, with its right one.

    signal = a + (b/2) [erf((x - left) / (sqrt 2 s)) - erf((x - right) / (sqrt 2 s))], one width for both.
    Raises ValueError for scans with too few points or without a step that stands out: few or flat is its
    first word.
    """
    mm, signal = _sorted(mm, signal)
    if len(mm) < FEWEST:
        raise ValueError(f"few: needed {FEWEST} positions, found {len(mm)}")
    found = [_fitted(mm, signal, sides) for sides in ((True, True), (True, False), (False, True))]
    score, best, noise = min(found, key=lambda each: each[0])
    if not best.height > CONTRAST * noise or best.s > np.ptp(mm) / 2:
        raise ValueError("flat: needed a step that stands out, found none")
    return best


def margin_mm(place: Across, at_mm: float, offset_mm: float = 0.0) -> float | None:
    """Room between the beam's two-sigma rim and the nearest edge, mm; below zero it hangs over.

    `offset_mm`, of unknown direction, takes its own size away. None where one edge was not crossed and the
    other one leaves room: what lies beyond the scan is not known.
    """
    sides = [at_mm - place.left if place.left is not None else None]
    sides += [place.right - at_mm if place.right is not None else None]
    known = [side for side in sides if side is not None]
    room = min(known) - 2 * place.s - abs(offset_mm)
    return room if len(known) == 2 or room < 0 else None


def _sorted(mm: np.ndarray, signal: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    mm, signal = np.asarray(mm, float), np.asarray(signal, float)
    kept = np.isfinite(mm) & np.isfinite(signal)
    order = np.argsort(mm[kept], kind="stable")
    return mm[kept][order], signal[kept][order]


def _fitted(mm: np.ndarray, signal: np.ndarray, sides: tuple[bool, bool]) -> tuple[float, Across, float]:
    """A score (lower is better: chi-squared with a price for each parameter), the fit, and its noise."""
    from scipy.optimize import least_squares

    low, high, span = mm[0], mm[-1], np.ptp(mm)
    half = (signal.min() + signal.max()) / 2
    above = mm[signal > half]
    first = [above[0] if sides[0] else None, above[-1] if sides[1] else None]
    start = [each for each in first if each is not None] + [math.log(span / 20)]
    bounds = [(low, high)] * (len(start) - 1) + [(math.log(span / 1000), math.log(span))]

    def left_over(free: np.ndarray) -> np.ndarray:
        shape = _shape(mm, free, sides)
        return signal - _line(shape, signal) @ np.array([np.ones_like(mm), shape])

    least, most = np.array(bounds).T
    inside = np.clip(start, least + 1e-9, most - 1e-9)
    done = least_squares(left_over, inside, bounds=(least, most))
    edges, s = list(done.x[:-1]), float(math.exp(done.x[-1]))
    free = len(start) + 2
    noise = math.sqrt(max(2 * done.cost, 1e-300) / max(1, len(mm) - free))
    height = float(_line(_shape(mm, done.x, sides), signal)[1])
    spread = np.linalg.pinv(done.jac.T @ done.jac) * noise**2
    sigma = float(math.sqrt(max(spread[0, 0], 0.0)))
    left = float(edges.pop(0)) if sides[0] else None
    right = float(edges.pop(0)) if sides[1] else None
    upside = height > 0 and (left is None or right is None or left < right)
    score = len(mm) * math.log(max(2 * done.cost, 1e-300)) + free * math.log(len(mm))
    return (score if upside else math.inf), Across(left, right, s, height, sigma), noise


def _shape(mm: np.ndarray, free: np.ndarray, sides: tuple[bool, bool]) -> np.ndarray:
    """From 0 beside the specimen to 1 on it (points,)."""
    from scipy.special import erf

    s, edges = math.exp(free[-1]), list(free[:-1])
    left = erf((mm - edges.pop(0)) / (math.sqrt(2) * s)) if sides[0] else 1.0
    right = erf((mm - edges.pop(0)) / (math.sqrt(2) * s)) if sides[1] else -1.0
    return 0.5 * (left - right)


def _line(shape: np.ndarray, signal: np.ndarray) -> np.ndarray:
    """Level and height (2,) by least squares."""
    away = shape - shape.mean()
    slope = float(away @ signal / max(away @ away, 1e-300))
    return np.array([signal.mean() - slope * shape.mean(), slope])
