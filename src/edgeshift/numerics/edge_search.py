"""Looking for an edge where a table says it may be: a step, or a pair of lines, over a smooth background.

Arrays only; energies rise strictly and values are finite, in shares of the level below the edge. Everything
is linear once its place and width are chosen, so every choice is tried and the best one is kept.
"""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

import numpy as np
from scipy.special import fdtrc, ndtr, ndtri

from edgeshift.numerics.lines import gaussian
from edgeshift.numerics.noise import single_scan_noise

DEGREES = (1, 2)
"""Backgrounds that are tried; how far their answers differ belongs to the error."""
SHARP_EV, SLOW_EV = (1.2, 3.0, 6.0), 16.0
"""Widths of a rise (FWHM): those of an edge, and one too slow to be a step (common practice, no source)."""
HUMPS_EV = ((2.5, 5.0), (6.0, 10.0))
"""A step may carry humps so far behind its middle, so wide (FWHM); what they take is not the step's."""

NARROW = 0.75
"""What would have shown is told for the narrower tries: three in four would have shown earlier."""


class Found(NamedTuple):
    """The best place of what was looked for.

    `amounts` with `sigmas`: the step alone, or first and second line (heights), with what the choice of
    background adds in the sigmas. `strength` is how many standard deviations the whole of it is from nothing,
    `valley` how surely the curve falls between two lines (0 for a step). Where nothing is found, `null_sigma`
    is the error of the (first) amount with all its companions free and `null_alone` without them, both from
    what a smooth background leaves; `misfit` is that left-over against the noise of the scan. `width_ev` and
    `split_ev` are those of the best try, `tries` how many independent places were looked at. `spread` is how
    far the amount moves between backgrounds.
    """

    at_ev: float
    amounts: tuple[float, ...]
    sigmas: tuple[float, ...]
    strength: float
    valley: float
    null_sigma: float
    null_alone: float
    spread: float
    misfit: float
    left: float
    width_ev: float
    split_ev: float
    tries: int


class Sought(NamedTuple):
    """Where and as what: places (eV) of the first line or of the rise, distances of the partner (eV; none: a
    step is sought), and widths (FWHM, eV)."""

    places: np.ndarray
    splits: tuple[float, ...]
    widths: tuple[float, ...]


def search(
    energy_ev: np.ndarray, value: np.ndarray, marks: np.ndarray, sought: Sought, alike: float = 1.0
) -> Found | None:
    """The best place for what is sought; None where too few points are left for it.

    `alike` widens every error where neighbouring points are no independent ones (`noise.neighbours_alike`).
    `marks` (marks, points) are shapes that may be in the curve without being an element's: the beam's own, or
    steps of elements that are known to be there.
    """
    templates = _templates(energy_ev, sought)
    found = [_best(energy_ev, value, marks, templates, (degree, alike)) for degree in DEGREES]
    if any(each is None for each in found) or not found:
        return None
    first = min(found, key=lambda each: each.rest)
    place, split, width = templates.tried[first.best]
    spreads = np.ptp([each.amounts_at[first.best] for each in found], axis=0)
    sigmas = np.hypot(first.errors_at[first.best], 0.5 * spreads)
    spread, amounts = float(spreads[0]), first.amounts_at[first.best]
    noise = max(single_scan_noise(energy_ev, value), 1e-300)
    lines = (place, split, width)
    extent = max(float(np.ptp(sought.places)), 1e-9)
    return Found(
        float(place),
        tuple(amounts.tolist()),
        tuple(sigmas.tolist()),
        min(each.strength for each in found),
        _valley(energy_ev, value, lines, noise) if sought.splits else 0.0,
        float(np.hypot(max(each.null_error for each in found), 0.5 * spread)),
        float(np.hypot(max(each.null_alone for each in found), 0.5 * spread)),
        spread,
        min(each.null_scatter for each in found) / noise,
        min(each.scatter for each in found) / noise,
        float(width),
        float(split),
        1 + int(extent / min(sought.widths)) * max(1, len(sought.splits)),
    )


class Height(NamedTuple):
    """How high a step is, with its error and half the spread of sane backgrounds in it."""

    amount: float
    sigma: float


def plain_step(
    energy_ev: np.ndarray, value: np.ndarray, marks: np.ndarray, place: float, above_ev: float
) -> Height | None:
    """The step at `place` from what lies below it and what lies `above_ev` above: the structure between is
    left out, so that no white line passes for a step. None where too few points are left on a side."""
    below, above = energy_ev < place - 3.0, energy_ev > place + above_ev
    use = below | above
    if np.count_nonzero(below) < 5 or np.count_nonzero(above) < 5:
        return None
    amounts, errors = [], []
    for degree in DEGREES:
        columns = np.vstack([_plain(energy_ev[use], marks[:, use], degree), above[use].astype(float)])
        free = np.count_nonzero(use) - len(columns)
        if free < 3:
            return None
        inverse = np.linalg.pinv(columns @ columns.T)
        weights = inverse @ (columns @ value[use])
        rest = value[use] - weights @ columns
        amounts.append(float(weights[-1]))
        errors.append(float(np.sqrt(max(inverse[-1, -1], 0.0) * (rest @ rest) / free)))
    return Height(amounts[0], float(np.hypot(max(errors), 0.5 * abs(amounts[1] - amounts[0]))))


class Bump(NamedTuple):
    """One line alone: where (eV), how high and how wide, and by how many standard deviations it stands
    out."""

    at_ev: float
    height: float
    width_ev: float
    strength: float


def search_bump(
    energy_ev: np.ndarray, value: np.ndarray, marks: np.ndarray, places: np.ndarray, widths: tuple
) -> Bump | None:
    """The best single line over a smooth background; None where too few points are left."""
    tried = list(product(places, widths))
    rows = gaussian(energy_ev, 1.0, *np.array(tried).T[:, :, None])
    best = None
    for degree in DEGREES:
        plain = _plain(energy_ev, marks, degree)
        free = energy_ev.size - len(plain) - 1
        if free < 4:
            return None
        smooth = np.linalg.svd(plain, full_matrices=False)[2]
        rest = value - smooth.T @ (smooth @ value)
        shapes = rows - (rows @ smooth.T) @ smooth
        size = np.maximum(np.sum(shapes**2, axis=1), 1e-24)
        heights = shapes @ rest / size
        left = np.maximum(float(rest @ rest) - heights**2 * size, 1e-300)
        strengths = heights * np.sqrt(size) / np.sqrt(left / free)
        top = int(np.argmax(strengths))
        bump = Bump(tried[top][0], float(heights[top]), tried[top][1], float(strengths[top]))
        best = bump if best is None or bump.strength < best.strength else best
    return best


class _Templates(NamedTuple):
    tried: list[tuple[float, float, float]]
    shapes: np.ndarray
    pairs: bool

    @property
    def wanted(self) -> slice:
        """Which columns carry the answer."""
        return slice(0, 2 if self.pairs else 1)


class _Fit(NamedTuple):
    best: int
    rest: float
    scatter: float
    amounts_at: np.ndarray
    errors_at: np.ndarray
    strength: float
    null_error: float
    null_alone: float
    null_scatter: float


def _templates(at: np.ndarray, sought: Sought) -> _Templates:
    """Shapes (tries, 3, points): two lines and the pair of steps, or a rise and its humps."""
    tried = list(product(sought.places, sought.splits or (0.0,), sought.widths))
    place, split, width = np.array(tried).T[:, :, None]
    if sought.splits:
        steps = (2.0 * _rise(at, place, 1.0) + _rise(at, place + split, 1.0)) / 3.0
        rows = [gaussian(at, 1.0, place, width), gaussian(at, 1.0, place + split, width), steps]
    else:
        humps = (gaussian(at, 1.0, place + behind, wide) for behind, wide in HUMPS_EV)
        rows = [_rise(at, place, width), *humps]
    return _Templates(tried, np.stack(rows, axis=1), bool(sought.splits))


def _rise(at: np.ndarray, place: np.ndarray, width: np.ndarray | float) -> np.ndarray:
    return ndtr(2.3548 * (at - place) / width)


def _plain(at: np.ndarray, marks: np.ndarray, degree: int) -> np.ndarray:
    """What may be there without any edge (columns, points): a smooth background and the marks."""
    x = 2.0 * (at - at.mean()) / np.ptp(at)
    return np.vstack([*(x**power for power in range(degree + 1)), *marks])


def _best(at, value, marks, templates: _Templates, way: tuple[int, float]) -> _Fit | None:
    degree, alike = way
    plain = _plain(at, marks, degree)
    columns = templates.shapes.shape[1]
    free = at.size - len(plain) - columns
    if free < 4:
        return None
    smooth = np.linalg.svd(plain, full_matrices=False)[2]
    rest = value - smooth.T @ (smooth @ value)
    shapes = templates.shapes - (templates.shapes @ smooth.T) @ smooth
    normal = shapes @ np.swapaxes(shapes, 1, 2)
    size = np.sqrt(np.maximum(np.diagonal(normal, axis1=1, axis2=2), 1e-12))
    normal = normal / (size[:, :, None] * size[:, None, :]) + 1e-9 * np.eye(columns)
    right = (shapes @ rest) / size
    inverse = np.linalg.inv(normal)
    amounts = (inverse @ right[:, :, None])[:, :, 0] / size
    left = np.maximum(float(rest @ rest) - np.sum(amounts * size * right, axis=1), 1e-300)
    unit = alike * np.sqrt(np.diagonal(inverse, axis1=1, axis2=2)) / size
    positive = (amounts[:, templates.wanted] > 0).all(axis=1)
    order = np.where(positive, left, np.inf)
    best = int(np.argmin(order)) if positive.any() else int(np.argmin(left))
    errors = unit * np.sqrt(left / free)[:, None]
    scatter = float(np.sqrt(rest @ rest / (at.size - len(plain))))
    return _Fit(
        best,
        float(left[best]),
        float(np.sqrt(left[best] / free)),
        amounts[:, templates.wanted],
        errors[:, templates.wanted],
        _strength(
            shapes[best, 2:] if templates.pairs else shapes[best, :0],
            rest,
            float(left[best]),
            free / alike**2,
        ),
        float(np.quantile(unit[:, 0], NARROW) * scatter),
        float(alike * scatter / np.quantile(size[:, 0], 1.0 - NARROW)),
        scatter,
    )


def _strength(without: np.ndarray, rest: np.ndarray, left: float, free: int) -> float:
    """By how many standard deviations the whole does better than background and `without` (0 or 1 rows)."""
    plain, more = float(rest @ rest), 3 - len(without)
    for row in without:
        plain -= float(row @ rest) ** 2 / max(float(row @ row), 1e-24)
    ratio = max(plain - left, 0.0) / more / (left / free)
    return float(min(-ndtri(max(fdtrc(more, free, ratio), 1e-300)), 37.0))


def _valley(at: np.ndarray, value: np.ndarray, lines: tuple[float, float, float], noise: float) -> float:
    """How surely the curve falls between two lines: the lower line's mean over the lowest mean between them,
    in standard errors. Two lines without a valley may be one broad hump."""
    place, split, width = lines
    half = 0.5 * width
    means = [_mean_near(at, value, centre, half) for centre in (place, place + split)]
    between = np.linspace(place + min(width, 0.4 * split), place + split - min(width, 0.4 * split), 7)
    found = [each for each in (_mean_near(at, value, centre, half) for centre in between) if each]
    if not all(means) or not found:
        return 0.0
    low, count = min(found)
    return min(float(mean - low) / float(noise * np.sqrt(1.0 / n + 1.0 / count)) for mean, n in means)


def _mean_near(at: np.ndarray, value: np.ndarray, centre: float, half: float) -> tuple[float, int] | None:
    near = np.abs(at - centre) <= half
    return (float(value[near].mean()), int(near.sum())) if near.any() else None
