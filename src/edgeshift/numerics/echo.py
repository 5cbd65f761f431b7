"""Does a curve repeat another one at a half or a third of its energies, as light of a higher order makes it?

Arrays only; energies rise strictly.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.noise import single_scan_noise

LEAST_POINTS = 14
BENDS = 3
"""Highest power of the background under the echo."""


class Echo(NamedTuple):
    """Height of the echo's line over its background as a share of the scan's level there, with its error;
    where its top lies (eV); and how much of what the background leaves it explains (0..1)."""

    share: float
    sigma: float
    top_ev: float
    explains: float


def echo_of(
    energy_ev: np.ndarray, value: np.ndarray, source_ev: np.ndarray, source: np.ndarray, order: int
) -> Echo | None:
    """The echo of a source curve (points of its own) in a curve (points,); None where too little is common.

    `source_ev` are the source's own energies. Background: a smooth bend; so only the source's lines count.
    """
    finite = np.isfinite(source)
    low, high = source_ev[finite][0] / order, source_ev[finite][-1] / order
    good = np.isfinite(value) & (energy_ev >= low) & (energy_ev <= high)
    if np.count_nonzero(good) < LEAST_POINTS:
        return None
    at, mine = energy_ev[good], value[good]
    theirs = np.interp(at, source_ev[finite] / order, source[finite])
    if not np.ptp(theirs) > 0:
        return None
    top = float(at[int(np.argmax(theirs))])
    if min(top - at[0], at[-1] - top) < 2.0 * float(np.median(np.diff(at))):
        return None
    x = 2.0 * (at - at.mean()) / np.ptp(at)
    bends = np.stack([x**power for power in range(BENDS + 1)])
    theirs = (theirs - theirs.mean()) / np.ptp(theirs)
    columns = np.vstack([bends, theirs])
    weights = least_squares(columns, mine)
    rest = mine - weights @ columns
    plain = mine - least_squares(bends, mine) @ bends
    noise = max(float(np.std(rest)), single_scan_noise(at, mine), 1e-300)
    level = max(float(np.median(np.abs(mine))), 1e-300)
    explains = 1.0 - float(np.sum(rest**2) / max(np.sum(plain**2), 1e-300))
    return Echo(float(weights[-1] / level), noise * float(unit_errors(columns)[-1]) / level, top, explains)
