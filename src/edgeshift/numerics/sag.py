"""Does an electron yield sag along a scan while the fluorescence of the same scan does not? Arrays only.

The yield is written as a straight mixture of what the fluorescence shows, with a smooth background and the
bending that a thick specimen gives; all of that is harmless. A charged specimen loses a growing share of its
electrons, quickly first and then less, and what it loses follows the clock and not the energy.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.noise import robust_spread

LEAST_POINTS = 40
TIMES = (0.08, 0.15, 0.25, 0.4, 0.7)
"""Times tried for the sag to settle, as shares of the scan."""


class Sag(NamedTuple):
    """Share of the yield that is lost by the end of the scan, with its standard error, the time it takes
    (share of the scan), and by how much the sag lowers the scatter that the harmless parts leave (0..1)."""

    share: float
    sigma: float
    time: float
    lowers: float


class Both(NamedTuple):
    """One scan by two detectors, all (points,): energies in eV, share of the scan's time that had passed,
    electron yield and fluorescence, both over I0, and I0."""

    energy_ev: np.ndarray
    along: np.ndarray
    electrons: np.ndarray
    fluorescence: np.ndarray
    i0: np.ndarray


def sag_of(scan: Both) -> Sag | None:
    """The sag of a yield beside its fluorescence; None where points are few."""
    good = np.isfinite(scan.electrons) & np.isfinite(scan.fluorescence) & np.isfinite(scan.i0)
    if np.count_nonzero(good) < LEAST_POINTS:
        return None
    energy, late, mine, light, beam = (column[good] for column in scan)
    if not all(np.ptp(each) > 0 for each in (energy, mine, light, late)):
        return None
    x = 2.0 * (energy - energy.mean()) / np.ptp(energy)
    light = (light - light.mean()) / np.ptp(light)
    # A dirty mesh leaves its marks in both, in unlike shares: I0 and its square stand for them.
    beam = (beam - beam.mean()) / (np.ptp(beam) or 1.0)
    harmless = np.stack([np.ones(x.size), x, x**2, light, light**2, light * x, beam, beam**2])
    plain = least_squares(harmless, mine)
    before = float(np.std(mine - plain @ harmless))
    tried = [_tried(mine, harmless, late, time) for time in TIMES]
    best, time = min(zip(tried, TIMES, strict=True), key=lambda pair: pair[0][2])
    share, sigma, after = best
    whole = 1.0 - np.exp(-(late[np.argmax(late)] / time))
    return Sag(float(share * whole), float(sigma * whole), time, 1.0 - (after / before) ** 2)


def _tried(
    mine: np.ndarray, harmless: np.ndarray, late: np.ndarray, time: float
) -> tuple[float, float, float]:
    """(share, its error, scatter left) of a loss that settles in `time`: a share of the yield as it
    would be without it, which is taken from the fit itself, so that the yield's own noise is not fitted."""
    grown = 1.0 - np.exp(-late / time)
    true = least_squares(harmless, mine) @ harmless
    for _ in range(4):
        columns = np.vstack([harmless, -grown * true])
        found = least_squares(columns, mine)
        true = found[:-1] @ harmless
    share = float(found[-1])
    rest = mine - found @ columns
    spread = max(float(robust_spread(rest)), 1e-300)
    return share, spread * float(unit_errors(columns)[-1]), float(np.std(rest))
