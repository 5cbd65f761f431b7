"""How many different things some curves are made of, at least, by their principal components.

A weak count: two things that always come in one proportion are one to it, things below the noise are none,
and any distortion that is not taken out is one more. Automatic counts failed on known mixtures even at a
signal to noise of 80 (Manceau and others 2014, doi:10.1107/S1600577514013526). So: at least, never as a fit.
"""

from __future__ import annotations

import numpy as np

LEVEL_95 = 0.9793
"""95 % point of the Tracy-Widom law of order 1, for the largest squared singular value of noise (from
memory; the tests measure how often it holds)."""
LEAST_CURVES = 3


def at_least(energy_ev: np.ndarray, curves: np.ndarray, sigma: np.ndarray, distorted: float) -> int:
    """The count for curves (curves, points) with their noise (curves, points): 1 where all are alike.

    A slide, a gain and an offset of each curve are taken out, and with every thing that is found its slide
    too. What nowhere reaches `distorted`, a share of the mean's height, may be distortion and counts for
    nothing. Raises ValueError with fewer than 3 curves.
    """
    if len(curves) < LEAST_CURVES:
        raise ValueError(f"a count of things needs {LEAST_CURVES} curves, found {len(curves)}")
    noise = np.sqrt(np.mean(sigma**2, axis=0))
    noise = np.maximum(noise, 1e-3 * np.median(noise) + 1e-300)
    mean = curves.mean(axis=0)
    rows = (curves - mean) / noise
    gone = [mean / noise, np.gradient(mean, energy_ev) / noise, 1.0 / noise]
    found = 1
    while True:
        flat = np.linalg.qr(np.array(gone).T)[0]
        left = rows - rows @ flat @ flat.T
        scores, sizes, ways = np.linalg.svd(left, full_matrices=False)
        reach = float(np.max(np.abs(scores[:, 0])) * sizes[0] * np.max(np.abs(ways[0] * noise)))
        free = len(curves) - found
        if free < 2 or sizes[0] ** 2 <= _noise_reaches(free, curves.shape[1] - len(gone)):
            return found
        if reach <= distorted * np.max(np.abs(mean)):
            return found
        found += 1
        gone += [ways[0], np.gradient(ways[0] * noise, energy_ev) / noise]


def _noise_reaches(rows: int, points: int) -> float:
    """What the largest squared singular value of rows of noise stays below in 95 of 100 cases."""
    a, b = np.sqrt(rows), np.sqrt(points)
    return float((a + b) ** 2 + LEVEL_95 * (a + b) * (1 / a + 1 / b) ** (1 / 3))
