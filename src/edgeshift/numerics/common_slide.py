"""A slide of the energy scale that many groups of scans share, found in their slides alone.

Each group (one specimen at one edge) has an unknown place of its own; a jump moves all that comes after it.
Every scale also drifts a little. What it drifted between two scans must not be counted into a jump between
them, so both are fitted at once; where the scans hardly tell the drift, the jump is known less well for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

USUAL_DRIFT_EV_H = 0.05
"""An ordinary scale drifts by zero, give or take this much an hour, before any scan tells (practice, no
source)."""
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
    """Moment of the first scan after a jump (s), the jump with its standard error (eV), and chi-square with
    the price of the drift that is fitted beside it."""

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

    Included in its error: that of every slide, made larger where they scatter more than they should, and
    what the scale may have drifted meanwhile.
    """
    if not slides:
        return None
    group, when, _, _, sigma = (np.array(column) for column in zip(*slides, strict=True))
    moments = np.unique(when)[1:]
    after = (when >= moments[:, None]).astype(float)
    known = np.sum(_from_group_means(after, group, sigma**-2) ** 2 / sigma**2, axis=-1)
    usable = known > 1e-9 * float(np.max(sigma**-2))
    if not usable.any():
        return None
    sizes, errors, chi2 = _beside_drift(after[usable], slides)
    best = int(np.argmin(chi2))
    free = max(len(slides) - len(set(group.tolist())) - 1, 1)
    error = errors[best] * max(1.0, chi2[best] / free) ** 0.5
    return Jump(float(moments[usable][best]), float(sizes[best]), float(error), float(chi2[best]))


def _beside_drift(forms: np.ndarray, slides: Sequence[Slid]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Amount, standard error and chi-square of each of the forms (forms, slides) beside a drift that is held
    to the usual: all (forms,)."""
    group, when, _, slide, sigma = (np.array(column) for column in zip(*slides, strict=True))
    weight = sigma**-2
    level, hours, *own = _from_group_means(np.vstack([slide, when / 3600.0, forms]), group, weight)
    columns = np.stack([np.array(own), np.broadcast_to(hours, forms.shape)], axis=-2)
    normal = (weight * columns) @ np.swapaxes(columns, -1, -2) + np.diag([0.0, USUAL_DRIFT_EV_H**-2])
    wanted = columns @ (weight * level)
    amounts = np.linalg.solve(normal, wanted[..., None])[..., 0]
    chi2 = float(np.sum(weight * level**2)) - np.sum(amounts * wanted, axis=-1)
    return amounts[:, 0], np.linalg.inv(normal)[:, 0, 0] ** 0.5, chi2


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
    _, when, energy, _, _ = (np.array(column) for column in zip(*slides, strict=True))
    after = (when >= jump.at_s).astype(float)
    sizes, _, chi2 = _beside_drift(np.stack([after, after * (energy / energy.max()) ** 2]), slides)
    if chi2[0] - chi2[1] < GROWTH_SURE:
        return None
    return float(sizes[1] * (energy.min() / energy.max()) ** 2), float(sizes[1])


def _from_group_means(values: np.ndarray, group: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Values (..., slides) less the weighted mean of their group."""
    member = (group[:, None] == np.unique(group)).astype(float)
    means = ((weight * values) @ member) / (weight @ member)
    return values - means @ member.T
