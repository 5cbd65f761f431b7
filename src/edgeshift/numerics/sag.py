"""Does an electron yield sag along a scan while the fluorescence of the same scan does not? Arrays only.

The yield is written as a straight mixture of what the fluorescence shows, with a smooth background and the
bending that a thick specimen gives; all of that is harmless. A charged specimen loses a growing share of its
electrons, quickly first and then less, and what it loses follows the clock and not the energy.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.noise import robust_spread

LEAST_POINTS = 40
TIMES = (0.06, 0.1, 0.15, 0.22, 0.33, 0.5, 0.8)
"""Times tried for the sag to settle, as shares of the scan."""


ROUNDS = 4
"""So often the yield without its loss is taken anew from the fit."""


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
    basis, _ = np.linalg.qr(harmless.T)
    plain = mine - basis @ (basis.T @ mine)
    tried = [_tried(mine, plain, basis, late / time) for time in TIMES]
    (share, sigma, after), time = min(zip(tried, TIMES, strict=True), key=lambda pair: pair[0][2])
    whole = 1.0 - float(np.exp(-late.max() / time))
    before = max(float(np.sum(plain**2)), 1e-300)
    return Sag(share * whole, sigma * whole, time, 1.0 - after / before)


def _tried(
    mine: np.ndarray, plain: np.ndarray, basis: np.ndarray, elapsed: np.ndarray
) -> tuple[float, float, float]:
    """(share, its error, sum of squares left) of a loss that settles in one unit of `elapsed`.

    It is a share of the yield as it would be without it, which is taken from the fit itself, so that the
    yield's own noise is not fitted. `basis` (points, parts) spans the harmless parts and `plain` is what they
    leave of the yield.
    """
    grown = 1.0 - np.exp(-elapsed)
    true = mine - plain
    for _ in range(ROUNDS):
        lost = -grown * true
        beside = lost - basis @ (basis.T @ lost)
        size = max(float(beside @ beside), 1e-300)
        share = float(beside @ plain) / size
        kept = mine - share * lost
        true = basis @ (basis.T @ kept)
    rest = plain - share * beside
    return share, float(robust_spread(rest)) / size**0.5, float(rest @ rest)
