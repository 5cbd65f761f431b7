"""Whether a scan is like the others of its specimen, and whether the beam's own marks are in it.

Arrays only; energies rise strictly, NaN where a point is not usable.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.local_lines import local_weights
from edgeshift.numerics.noise import robust_spread, single_scan_noise

LEAST_POINTS = 24
LEAST_BEAM_STRUCTURE = 0.001
"""Fine structure of I0 below this share of it cannot leave marks worth a word (practice, no source)."""


class Likeness(NamedTuple):
    """One scan against the mean of the others, in units of the scan's own height.

    `tilt` is by how much it rises over the whole range against them, `squeeze` how far its tall parts are
    bent down (0.2: a point at half height stands 5 % of the height too high beside the ends). Each with its
    standard error from the scatter that is left. `noise_ratio` is its noise over the others' median.
    """

    tilt: float
    tilt_sigma: float
    squeeze: float
    squeeze_sigma: float
    noise_ratio: float


def likeness(energy_ev: np.ndarray, value: np.ndarray, others: np.ndarray) -> Likeness | None:
    """Compare a scan (points,) with others (scans, points) on its energies;
    None where too little is common."""
    heights = [np.ptp(each[np.isfinite(each)]) if np.isfinite(each).sum() > 2 else np.nan for each in others]
    scaled = [each / height for each, height in zip(others, heights, strict=True) if height > 0]
    good = np.isfinite(value)
    for each in scaled:
        good &= np.isfinite(each)
    if not scaled or good.sum() < LEAST_POINTS:
        return None
    at, mine, theirs = energy_ev[good], value[good], np.mean([each[good] for each in scaled], axis=0)
    level = (theirs - theirs.min()) / np.ptp(theirs)
    tilt = (at - at.mean()) / np.ptp(at)
    slope = np.gradient(level, at)
    columns = np.stack([level, np.ones(at.size), tilt, -slope, level * (1.0 - level)], axis=1)
    found = np.linalg.lstsq(columns, mine, rcond=None)[0]
    scatter = robust_spread(mine - columns @ found)
    errors = scatter * np.sqrt(np.diag(np.linalg.pinv(columns.T @ columns)))
    gain = abs(found[0]) or 1e-300
    noises = [single_scan_noise(energy_ev, each) for each in scaled]
    own = single_scan_noise(energy_ev, value) / np.ptp(value[good])
    ratio = own / max(float(np.nanmedian(noises)), 1e-300)
    return Likeness(found[2] / gain, errors[2] / gain, found[4] / gain, errors[4] / gain, float(ratio))


class Coherence(NamedTuple):
    """Correlation of the fine structure of a curve with that of I0, how many standard deviations it is
    from chance, and how large the shared part is beside the curve's noise."""

    correlation: float
    sigmas: float
    size: float


def coherence(energy_ev: np.ndarray, value: np.ndarray, i0: np.ndarray) -> Coherence | None:
    """Coherence of high-passed signal/I0 with high-passed I0; None where points are few or I0 is smooth.

    Points next to one another are alike in both, so the number of independent ones is taken from their
    own correlations (Bartlett 1946): without that a white line beside any dip would look like coherence.
    """
    good = np.isfinite(value) & np.isfinite(i0)
    if good.sum() < LEAST_POINTS:
        return None
    at = energy_ev[good]
    beam = i0[good] / np.median(i0[good])
    fine_beam, fine = _fine(at, beam), _fine(at, value[good])
    least = max(2.0 * single_scan_noise(at, beam), LEAST_BEAM_STRUCTURE)
    if np.std(fine_beam) < least or not np.std(fine) > 0:
        return None
    correlation = float(np.corrcoef(fine_beam, fine)[0, 1])
    alike = 1.0 + 2.0 * np.sum(_own_correlation(fine_beam) * _own_correlation(fine))
    independent = max(at.size / max(alike, 1.0), 4.0)
    sigmas = float(np.arctanh(np.clip(correlation, -0.999, 0.999)) * np.sqrt(independent - 3.0))
    size = abs(correlation) * float(np.std(fine)) / max(single_scan_noise(at, value[good]), 1e-300)
    return Coherence(correlation, sigmas, size)


def _fine(at: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """Structure broader than a point and narrower than about sixteen."""
    smooth = np.convolve(np.pad(curve, 1, mode="edge"), np.ones(3) / 3.0, "valid")
    return smooth - local_weights(at, np.ones(at.size, dtype=bool), 8, 2).predict(curve)


def _own_correlation(curve: np.ndarray) -> np.ndarray:
    """Correlations of a curve with itself at lags of 1 to 15 points."""
    centred = curve - curve.mean()
    whole = np.sum(centred**2)
    return np.array([np.sum(centred[lag:] * centred[:-lag]) / whole for lag in range(1, 16)])
