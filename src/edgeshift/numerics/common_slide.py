"""A slide of the energy scale that many groups of scans share, found in their slides alone.

Each group (one specimen at one edge) has an unknown place of its own; a jump moves all that comes after it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

GROWTH_SURE = 9.0
"""A slide is said to grow with energy where that lowers chi-square by this much (3 standard deviations)."""


class Slid(NamedTuple):
    """One scan: its group, moment (s) and energy (eV), and how far it lies from the group's first (eV)."""

    group: int
    when_s: float
    energy_ev: float
    slide_ev: float
    sigma_ev: float


class Jump(NamedTuple):
    """Moment of the first scan after a jump (s), the jump with its standard error (eV), and chi-square."""

    at_s: float
    slide_ev: float
    sigma_ev: float
    chi2: float


class Drift(NamedTuple):
    """A steady drift with its standard error (eV an hour), and chi-square."""

    per_h: float
    sigma_per_h: float
    chi2: float


def best_jump(slides: Sequence[Slid]) -> Jump | None:
    """The jump that explains most of the slides; None where no group has scans on both sides of one.

    Included in its error: that of every slide, made larger where they scatter more than they should.
    """
    if not slides:
        return None
    group, when, _, slide, sigma = (np.array(column) for column in zip(*slides, strict=True))
    weight = 1.0 / sigma**2
    level = _from_group_means(slide, group, weight)
    moments = np.unique(when)[1:]
    after = _from_group_means((when >= moments[:, None]).astype(float), group, weight)
    known = np.sum(weight * after**2, axis=-1)
    usable = known > 1e-9 * float(np.max(weight))
    if not usable.any():
        return None
    moments, after, known = moments[usable], after[usable], known[usable]
    sizes = np.sum(weight * after * level, axis=-1) / known
    rest = np.sum(weight * (level - sizes[:, None] * after) ** 2, axis=-1)
    best = int(np.argmin(rest))
    free = max(len(slides) - len(set(group.tolist())) - 1, 1)
    error = known[best] ** -0.5 * max(1.0, rest[best] / free) ** 0.5
    return Jump(float(moments[best]), float(sizes[best]), float(error), float(rest[best]))


def steady_drift(slides: Sequence[Slid]) -> Drift | None:
    """The drift that explains most of the slides; None where no group was measured at two moments.

    Its error is made larger where the slides scatter more than they should.
    """
    if not slides:
        return None
    group, when, _, slide, sigma = (np.array(column) for column in zip(*slides, strict=True))
    weight = 1.0 / sigma**2
    level, hours = (_from_group_means(each, group, weight) for each in (slide, when / 3600.0))
    known = float(np.sum(weight * hours**2))
    if known <= 1e-9 * float(np.max(weight)):
        return None
    rate = float(np.sum(weight * hours * level)) / known
    chi2 = float(np.sum(weight * (level - rate * hours) ** 2))
    free = max(len(slides) - len(set(group.tolist())) - 1, 1)
    return Drift(rate, known**-0.5 * max(1.0, chi2 / free) ** 0.5, chi2)


def grows_with_energy(slides: Sequence[Slid], jump: Jump) -> tuple[float, float] | None:
    """(slide at the lowest edge, at the highest) where one that grows as the energy squared, as an angle of
    the grating makes it, fits the slides better than a constant one; None where it does not."""
    group, when, energy, slide, sigma = (np.array(column) for column in zip(*slides, strict=True))
    weight = 1.0 / sigma**2
    level = _from_group_means(slide, group, weight)
    after = (when >= jump.at_s).astype(float)
    fits = []
    for growth in (np.ones(energy.size), (energy / energy.max()) ** 2):
        shape = _from_group_means(after * growth, group, weight)
        known = float(np.sum(weight * shape**2))
        size = float(np.sum(weight * shape * level) / known) if known > 0 else 0.0
        fits.append((float(np.sum(weight * (level - size * shape) ** 2)), size))
    (constant, _), (growing, size) = fits
    if constant - growing < GROWTH_SURE:
        return None
    return size * float((energy.min() / energy.max()) ** 2), size


def _from_group_means(values: np.ndarray, group: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Values (..., slides) less the weighted mean of their group."""
    member = (group[:, None] == np.unique(group)).astype(float)
    means = ((weight * values) @ member) / (weight @ member)
    return values - means @ member.T
