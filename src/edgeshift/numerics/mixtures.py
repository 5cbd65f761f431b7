"""A curve as a sum of references, none of them negative; the sum of the shares is reported, never forced.

How far the shares may lie is the business of `fan`.
"""

from __future__ import annotations

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
