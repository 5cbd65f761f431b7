"""Does a curve repeat another one at a half or a third of its energies, as light of a higher order makes it?

Arrays only; energies rise strictly.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.noise import single_scan_noise

LEAST_POINTS = 14
NEAREST_EV = 0.5
"""Nearer than this to its line a tail is not a tail."""
BENDS = 3
"""Highest power of the background under the echo."""


class Echo(NamedTuple):
    """Height of the echo's line over its background as a share of the scan's level there, with its error;
    where its top lies (eV); and how much of what background and noise leave it explains (0..1)."""

    share: float
    sigma: float
    top_ev: float
    explains: float


def echo_of(
    curve: tuple[np.ndarray, np.ndarray], source: tuple[np.ndarray, np.ndarray], order: int, tail_ev: float
) -> Echo | None:
    """The echo of a source in a curve, each (energies, values); None where too little is common.

    Background: a smooth bend, so that only the source's lines count, and the tail of a line at `tail_ev`
    (NaN: none), which falls as the square of the distance. Without a tail the echo's top must be inside.
    """
    (energy_ev, value), (source_ev, source) = curve, source
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
    cut = min(top - at[0], at[-1] - top) < 2.0 * float(np.median(np.diff(at)))
    if cut and not np.isfinite(tail_ev):
        return None
    x = 2.0 * (at - at.mean()) / np.ptp(at)
    bends = np.stack([x**power for power in range(BENDS + 1)])
    if np.isfinite(tail_ev):
        bends = np.vstack([bends, 1.0 / np.maximum(np.abs(at - tail_ev), NEAREST_EV) ** 2])
    theirs = (theirs - theirs.mean()) / np.ptp(theirs)
    columns = np.vstack([bends, theirs])
    weights = least_squares(columns, mine)
    rest = mine - weights @ columns
    plain = mine - least_squares(bends, mine) @ bends
    quiet = single_scan_noise(at, mine)
    noise = max(float(np.std(rest)), quiet, 1e-300)
    level = max(float(np.median(np.abs(mine))), 1e-300)
    # A sharp echo makes neighbours unlike, which must not pass for noise.
    quiet = min(quiet, float(np.std(rest)))
    before, after = (max(float(np.mean(each**2)) - quiet**2, 0.0) for each in (plain, rest))
    explains = 1.0 - after / before if before > 0 else 0.0
    return Echo(float(weights[-1] / level), noise * float(unit_errors(columns)[-1]) / level, top, explains)
