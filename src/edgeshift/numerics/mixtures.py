"""A curve as a sum of references, none of them negative, and the fan of fits that are equally good.

The sum of the shares is reported and never forced. The interval is the spread of the fan, not a formal
covariance, which knows nothing of windows, baselines and slides.
"""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

import numpy as np


class Mixture(NamedTuple):
    """Shares (references,), each at least 0; their sum, near 1 where nothing is missing; and the misfit.

    `misfit` is the root mean square of what no reference explains, in the unit of the curve.
    """

    shares: np.ndarray
    total: float
    misfit: float

    @property
    def parts(self) -> np.ndarray:
        """Shares of their own sum (references,); NaN where every share is 0."""
        return self.shares / self.total if self.total > 0 else np.full(self.shares.shape, np.nan)


def non_negative(target: np.ndarray, references: np.ndarray) -> Mixture:
    """Least squares with no negative share: `target` (points,) from `references` (references, points).

    Raises ValueError for a point without a number or fewer points than references.
    """
    from scipy.optimize import nnls

    if references.shape[1] < len(references):
        raise ValueError(f"{len(references)} references need as many points, found {references.shape[1]}")
    if not (np.isfinite(target).all() and np.isfinite(references).all()):
        raise ValueError("a mixture needs a number at every point, found a gap")
    shares, rest = nnls(references.T, target)
    return Mixture(shares, float(shares.sum()), float(rest / np.sqrt(len(target))))


def slide_fan(
    energy_ev: np.ndarray, target: np.ndarray, references: list[tuple], slides_ev: np.ndarray, slack: float
) -> list[Mixture]:
    """Every fit that is nearly as good as the best when each reference may slide on its own.

    `references` are (energies, values); each is read at every one of `slides_ev`, straight between its
    points. Kept are the fits whose misfit is at most (1 + slack) times the smallest. Raises ValueError
    where a slid reference does not reach over `energy_ev` (points,).
    """
    slid = [[_read(energy_ev + slide, *each) for slide in slides_ev] for each in references]
    fits = [non_negative(target, np.array(chosen)) for chosen in product(*slid)]
    best = min(fit.misfit for fit in fits)
    return [fit for fit in fits if fit.misfit <= (1 + slack) * best]


def _read(wanted_ev: np.ndarray, energy_ev: np.ndarray, value: np.ndarray) -> np.ndarray:
    if wanted_ev[0] < energy_ev[0] or wanted_ev[-1] > energy_ev[-1]:
        span = f"{energy_ev[0]:.6g} to {energy_ev[-1]:.6g}"
        raise ValueError(
            f"a reference must reach over {wanted_ev[0]:.6g} to {wanted_ev[-1]:.6g}, found {span}"
        )
    return np.interp(wanted_ev, energy_ev, value)
