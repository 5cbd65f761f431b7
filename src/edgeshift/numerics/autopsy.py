"""Why two curves differ: gain, offset, slope, slide, blur and what is left. Arrays only.

The second curve is written as (1 + gain)·first(E - slide) + offset + slope·(E - middle) + blur·first''/2,
where blur is the variance in eV² by which it is broader. Only parts that the data ask for are kept, so
that gain and offset cannot grow large against one another; a change at a few energies only, as chemistry
makes it, is held down in the fit and ends up in what is left.
"""

from __future__ import annotations

from itertools import combinations
from math import comb
from typing import NamedTuple

import numpy as np

PARTS = ("gain", "offset", "slope", "slide", "blur")
SLIDE = PARTS.index("slide")
LEAST_POINTS = 16
CALM = 2.0
"""Beyond this many standard deviations a point pulls no harder."""
ASKED_FOR = 14.0
"""A part is kept when it lowers chi-square by this much (3.7 standard deviations)."""
REACH, DEGREE = 4, 3
"""Half width in points and degree of the local polynomial that gives the slopes."""


class Part(NamedTuple):
    """One kind of difference: its code, amount and standard error, and the share of the difference.

    Units: gain 1, offset that of the curve, slope that over the whole range, slide eV, blur eV².
    """

    code: str
    value: float
    sigma: float
    share: float


class Autopsy(NamedTuple):
    """Parts in the order of PARTS and then 'left', the main one, and the test of what is left.

    `main` is a code, or 'none' where the two are the same within noise: chi-square over its degrees of
    freedom near one and no runs. `left` (points,) is what no part explains.
    """

    parts: tuple[Part, ...]
    main: str
    chi2_nu: float
    lag1: float
    left: np.ndarray


def autopsy(energy_ev: np.ndarray, first: np.ndarray, second: np.ndarray, sigma: np.ndarray) -> Autopsy:
    """Take the difference `second - first` apart; all arrays (points,), energies rising, NaN left out.

    `sigma` is the standard deviation of that difference at each point. Raises ValueError with fewer than
    16 common points. Included in the errors: that noise, scaled up where more than noise is left.
    """
    good = np.isfinite(first) & np.isfinite(second) & np.isfinite(sigma) & (sigma > 0)
    if good.sum() < LEAST_POINTS:
        raise ValueError(f"an autopsy needs {LEAST_POINTS} common points, found {int(good.sum())}")
    pair = Pair(*(array[good] for array in (energy_ev, first, second, sigma)))
    slide, fit = _settle(pair)
    amounts = fit.amounts + np.array([0.0, 0.0, 0.0, slide, 0.0])
    values, errors = _beside_first(amounts, fit.errors)
    chosen = fit.chosen | (amounts != 0.0)
    chi2_nu = float(np.sum(fit.left**2) / max(fit.left.size - int(chosen.sum()), 1))
    lag1 = _lag1(fit.left)
    shares = _shares(fit, amounts, pair)
    quiet = not chosen.any() and is_quiet(chi2_nu, lag1, fit.left.size)
    main = "none" if quiet else (*PARTS, "left")[int(np.argmax(shares))]
    left = np.full(first.shape, np.nan)
    left[good] = fit.left * pair.sigma
    errors = [*(errors * np.sqrt(max(1.0, chi2_nu))), float("nan")]
    values = [*values, float(np.sqrt(np.mean((fit.left * pair.sigma) ** 2)))]
    parts = zip((*PARTS, "left"), values, errors, shares, strict=True)
    return Autopsy(
        tuple(Part(c, float(v), float(e), float(s)) for c, v, e, s in parts), main, chi2_nu, lag1, left
    )


def is_quiet(chi2_nu: float, lag1: float, points: int) -> bool:
    """Whether a rest looks like noise alone: no larger than noise, and no runs (3 standard deviations)."""
    return chi2_nu < 1.0 + 3.0 * np.sqrt(2.0 / points) and lag1 < 3.0 / np.sqrt(points)


def _beside_first(amounts: np.ndarray, errors: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Amounts and errors (5,) as parts of the first curve; they were fitted beside the mean of both.

    From b - a = g·(a + b)/2 + rest follows b = a·(1 + g/2)/(1 - g/2) + rest/(1 - g/2).
    """
    less, more = 1.0 - amounts[0] / 2.0, 1.0 + amounts[0] / 2.0
    scale = np.array([1.0 / less, 1.0 / less, 1.0 / less, 1.0, 1.0 / more])
    return amounts * scale, errors * np.abs(scale) * np.array([1.0 / abs(less), 1.0, 1.0, 1.0, 1.0])


class Pair(NamedTuple):
    """Two curves on common energies and the standard deviation of their difference, all (points,)."""

    energy_ev: np.ndarray
    first: np.ndarray
    second: np.ndarray
    sigma: np.ndarray


class Fit(NamedTuple):
    """Amounts and errors (5,) of the parts, which were `chosen`, their columns (points, 5), and the rest
    `left` (points,); columns and rest in standard deviations."""

    amounts: np.ndarray
    errors: np.ndarray
    chosen: np.ndarray
    columns: np.ndarray
    left: np.ndarray


def _settle(pair: Pair) -> tuple[float, Fit]:
    """Choose the parts, moving the second curve back by the slide found until no more is found."""
    slide = 0.0
    for _ in range(8):
        moved, inside = _moved(pair.energy_ev, pair.second, slide)
        columns = _columns(pair.energy_ev, (pair.first + moved) / 2.0) / pair.sigma[:, None]
        difference = (moved - pair.first) / pair.sigma
        fit = _of_one_length(columns * inside[:, None], difference * inside, slide != 0.0)
        if abs(fit.amounts[SLIDE]) < 1e-4:
            break
        slide += float(fit.amounts[SLIDE])
    return slide, fit


def _moved(energy_ev: np.ndarray, curve: np.ndarray, slide: float) -> tuple[np.ndarray, np.ndarray]:
    """The curve read `slide` higher, so that one that lies higher by it comes back; and where it is known."""
    from scipy.interpolate import CubicSpline

    wanted = energy_ev + slide
    inside = (wanted >= energy_ev[0]) & (wanted <= energy_ev[-1])
    return (curve if slide == 0.0 else CubicSpline(energy_ev, curve)(wanted)), inside


def _columns(at: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """(points, 5): the curve, one, the range from -1/2 to 1/2, minus its slope, half its curvature."""
    smooth = _derivatives(at, curve)
    tilt = (at - (at[0] + at[-1]) / 2.0) / np.ptp(at)
    return np.stack([curve, np.ones(at.size), tilt, -smooth[1], smooth[2] / 2.0], axis=1)


def _derivatives(at: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """Value, slope and curvature (3, points) of a local cubic through each point and its neighbours."""
    size, count = at.size, 2 * REACH + 1
    start = np.clip(np.arange(size) - REACH, 0, size - count)
    index = start[:, None] + np.arange(count)
    offset = at[index] - at[:, None]
    reach = np.max(np.abs(offset), axis=1)
    powers = (offset / reach[:, None])[..., None] ** np.arange(DEGREE + 1)
    terms = np.linalg.pinv(powers) @ curve[index][..., None]
    return np.stack([terms[:, 0, 0], terms[:, 1, 0] / reach, 2.0 * terms[:, 2, 0] / reach**2])


def _of_one_length(columns: np.ndarray, difference: np.ndarray, sliding: bool) -> Fit:
    """The chosen fit, made with columns of length one: a curve in amperes is 1e-10 beside its offset of 1.

    Without that the small columns fall below what the linear algebra holds for rounding, and are dropped.
    """
    length = np.sqrt(np.sum(columns**2, axis=0))
    length[length == 0.0] = 1.0
    fit = _choose(columns / length, difference, sliding)
    return fit._replace(amounts=fit.amounts / length, errors=fit.errors / length, columns=columns)


def _choose(columns: np.ndarray, difference: np.ndarray, sliding: bool) -> Fit:
    """Add the part that helps most, again and again, while it helps enough.

    Once a slide was found (`sliding`) it stays among the parts, so that it is followed to its end.
    """
    chosen = np.zeros(columns.shape[1], dtype=bool)
    amounts = np.zeros(columns.shape[1])
    if sliding:
        chosen[SLIDE], amounts = True, _held_down(columns, difference, chosen, SLIDE)
    loss = _loss(difference - columns @ amounts)
    while not chosen.all():
        tries = {p: _held_down(columns, difference, chosen, p) for p in np.flatnonzero(~chosen)}
        best = min(tries, key=lambda p: _loss(difference - columns @ tries[p]))
        lower = _loss(difference - columns @ tries[best])
        if loss - lower < ASKED_FOR:
            break
        chosen[best], loss, amounts = True, lower, tries[best]
    return Fit(amounts, _errors(columns, chosen), chosen, columns, difference - columns @ amounts)


def _held_down(columns: np.ndarray, difference: np.ndarray, chosen: np.ndarray, extra: int) -> np.ndarray:
    """Amounts (5,) of the chosen parts and one more, by least squares that lets no few points lead."""
    used = chosen.copy()
    used[extra] = True
    amounts, weights = np.zeros(columns.shape[1]), np.ones(difference.size)
    for _ in range(12):
        root = np.sqrt(weights)
        amounts[used] = np.linalg.lstsq(columns[:, used] * root[:, None], difference * root, rcond=None)[0]
        weights = CALM / np.maximum(np.abs(difference - columns @ amounts), CALM)
    return amounts


def _loss(rest: np.ndarray) -> float:
    """Sum of squares, but only a straight line beyond CALM standard deviations (Huber 1964)."""
    size = np.abs(rest)
    return float(np.sum(np.where(size <= CALM, size**2, 2.0 * CALM * size - CALM**2)))


def _errors(columns: np.ndarray, chosen: np.ndarray) -> np.ndarray:
    """Standard errors (5,) of each part beside the chosen ones."""
    errors = np.zeros(columns.shape[1])
    for part in range(columns.shape[1]):
        used = [p for p in range(columns.shape[1]) if chosen[p] or p == part]
        inverse = np.linalg.pinv(columns[:, used].T @ columns[:, used])
        errors[part] = np.sqrt(inverse[used.index(part), used.index(part)])
    return errors


def _shares(fit: Fit, amounts: np.ndarray, pair: Pair) -> np.ndarray:
    """Share of the difference's weighted variance for each part and the rest; they add up to one.

    Parts that stand for one another in part, as gain and offset do, are given what they add on average over
    every order in which they could be taken (Shapley's value; cited from memory), so none is below zero.
    """
    difference = (pair.second - pair.first) / pair.sigma
    whole = max(float(np.sum(difference**2)), 1e-300)
    left = min(max(float(np.sum(fit.left**2)) - fit.left.size, 0.0) / whole, 1.0)
    used = [part for part in range(len(PARTS)) if amounts[part] != 0.0]
    added = _added_on_average(fit.columns[:, used], difference)
    shares = np.zeros(len(PARTS) + 1)
    shares[used] = (1.0 - left) * added / added.sum() if added.sum() > 0 else 0.0
    shares[-1] = left if used else 1.0
    return shares


def _added_on_average(columns: np.ndarray, target: np.ndarray) -> np.ndarray:
    """What each column adds to the explained sum of squares, averaged over all orders (columns,)."""
    count = columns.shape[1]
    length = np.sqrt(np.sum(columns**2, axis=0))
    unit = columns / np.where(length > 0, length, 1.0)
    explained = {
        chosen: float(np.sum((unit[:, chosen] @ np.linalg.pinv(unit[:, chosen]) @ target) ** 2))
        for size in range(count + 1)
        for chosen in combinations(range(count), size)
    }
    added = np.zeros(count)
    for chosen, before in explained.items():
        weight = 1.0 / (count * comb(count - 1, len(chosen))) if len(chosen) < count else 0.0
        for part in set(range(count)) - set(chosen):
            added[part] += weight * (explained[tuple(sorted((*chosen, part)))] - before)
    return np.maximum(added, 0.0)


def _lag1(rest: np.ndarray) -> float:
    """Correlation of each point of the rest with the next; 0 for noise, above it where there are runs."""
    centred = rest - rest.mean()
    return float(np.sum(centred[1:] * centred[:-1]) / max(float(np.sum(centred**2)), 1e-300))
