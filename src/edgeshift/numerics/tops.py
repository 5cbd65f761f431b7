"""Where a curve stands highest: its clear tops, with no shape fitted to them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.features import position

CLEAR = 5.0
"""A top stands out by so many times the noise of a point (practice, no source)."""
LEAST_SHARE = 0.03
"""And by so much of the curve's whole height (practice, no source)."""
HALF_EV = 0.8
"""So far to both sides a top is read (practice, no source)."""
DRAWS = 24


class Top(NamedTuple):
    """One top: its energy with the error that noise makes, its height, and how far it stands out."""

    at_ev: float
    sigma_ev: float
    height: float
    stands_out: float


def tops(energy: np.ndarray, value: np.ndarray, sigma: np.ndarray, most: int = 4) -> list[Top]:
    """The clearest tops of a curve (points,) on rising energies, in order of energy.

    `sigma` (points,) is the error of each point. Every number has to be one.
    """
    if energy.size < 8:
        return []
    smooth = np.convolve(np.pad(value, 1, mode="edge"), np.ones(3) / 3.0, "valid")
    least = max(CLEAR * float(np.median(sigma)), LEAST_SHARE * float(np.ptp(value)))
    from scipy.signal import find_peaks  # it brings half of scipy, and most calls need none of it

    places, told = find_peaks(smooth, prominence=least)
    clearest = np.argsort(-told["prominences"], kind="stable")[:most]
    rng = np.random.default_rng(0)
    moved = value + sigma * rng.standard_normal((DRAWS, value.size))
    found = []
    for each in sorted(clearest, key=lambda k: places[k]):
        place = int(places[each])
        reach = max(HALF_EV, 2.0 * float(energy[min(place + 1, energy.size - 1)] - energy[place]))
        window = (float(energy[place]) - reach, float(energy[place]) + reach)
        drawn = [position(energy, one, window) for one in moved]
        at_ev = position(energy, value, window)
        spread = float(np.std(drawn, ddof=1))
        found.append(Top(at_ev, spread, float(value[place]), float(told["prominences"][each])))
    return found
