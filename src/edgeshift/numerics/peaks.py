"""Sums of lines, steps and plain backgrounds, fitted by least squares with exact slopes."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from edgeshift.numerics import lines


class Shape(NamedTuple):
    """One kind of part: the names of its parameters, its values (points,), its slopes (points, names)."""

    names: tuple[str, ...]
    value: Callable[..., np.ndarray]
    slopes: Callable[..., np.ndarray]


class Part(NamedTuple):
    """One part of a model: its kind (a key of SHAPES), where to start, and between what bounds.

    `start`, `low` and `high` have one number a parameter; -inf and inf leave it free.
    """

    kind: str
    start: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


class Fit(NamedTuple):
    """Best parameters of each part in order, flattened (parameters,).

    `covariance` takes the given sigma as they are; `rss` is the sum of squared left-overs over sigma,
    `df` points less parameters, `at_bound` (parameters,) marks those that stopped at a bound: the
    covariance says nothing of them. Not included: whether the model is the right one.
    """

    parameters: np.ndarray
    covariance: np.ndarray
    rss: float
    df: int
    at_bound: np.ndarray

    @property
    def errors(self) -> np.ndarray:
        """Standard deviations (parameters,), with the sigma as they were given."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def errors_from_scatter(self) -> np.ndarray:
        """Standard deviations (parameters,), with all sigma scaled to the scatter that was left."""
        return self.errors * np.sqrt(self.rss / self.df)


def _line_slopes(energy: np.ndarray, level: float, slope: float) -> np.ndarray:
    return np.column_stack([np.ones_like(energy), energy])


def _decay_slopes(energy: np.ndarray, height: float, rate: float) -> np.ndarray:
    fall = np.exp(-rate * energy)
    return np.column_stack([fall, -height * energy * fall])


_LINE = ("height", "centre", "fwhm")

SHAPES = {
    "constant": Shape(
        ("level",),
        lambda energy, level: np.full_like(energy, level),
        lambda energy, level: np.ones((len(energy), 1)),
    ),
    "line": Shape(("level", "slope"), lambda energy, level, slope: level + slope * energy, _line_slopes),
    "decay": Shape(
        ("height", "rate"), lambda energy, height, rate: height * np.exp(-rate * energy), _decay_slopes
    ),
    "gaussian": Shape(_LINE, lines.gaussian, lines.gaussian_slopes),
    "lorentzian": Shape(_LINE, lines.lorentzian, lines.lorentzian_slopes),
    "pseudo-voigt": Shape((*_LINE, "lorentzian_share"), lines.pseudo_voigt, lines.pseudo_voigt_slopes),
    "arctangent": Shape(_LINE, lines.arctangent_step, lines.arctangent_step_slopes),
}
"""Every kind of part a model may hold."""


def free(kind: str, start: tuple[float, ...]) -> Part:
    """A part without bounds."""
    return Part(kind, start, (-np.inf,) * len(start), (np.inf,) * len(start))


def model(energy: np.ndarray, parts: tuple[Part, ...], parameters: np.ndarray) -> np.ndarray:
    """The sum of all parts (points,)."""
    return sum(SHAPES[kind].value(energy, *own) for kind, own in _shared_out(parts, parameters))


def model_slopes(energy: np.ndarray, parts: tuple[Part, ...], parameters: np.ndarray) -> np.ndarray:
    """Slopes of the sum by every parameter (points, parameters)."""
    return np.hstack([SHAPES[kind].slopes(energy, *own) for kind, own in _shared_out(parts, parameters)])


def fit(
    energy: np.ndarray,
    value: np.ndarray,
    sigma: np.ndarray,
    parts: tuple[Part, ...],
    shared: tuple[tuple[tuple[int, str], ...], ...] = (),
) -> Fit:
    """Least-squares fit; arrays (points,), points without a number left out.

    `shared` are groups of (number of a part, name of its parameter) that are one and the same, as the widths
    of lines of one origin: the first of a group gives start and bounds, and all carry its error. `df` counts
    it once. Raises ValueError for an unknown kind, a wrong count of numbers, too few points, or where the
    search does not settle.
    """
    start, low, high = _checked(parts)
    spread = _spread_out(parts, shared)
    first = np.argmax(spread, axis=0)
    use = np.isfinite(energy) & np.isfinite(value) & np.isfinite(sigma)
    if use.sum() <= len(first):
        raise ValueError(f"{len(first)} parameters need more points than that, found {int(use.sum())}")
    energy, value, sigma = energy[use], value[use], sigma[use]
    found = _search(
        lambda p: (model(energy, parts, spread @ p) - value) / sigma,
        lambda p: model_slopes(energy, parts, spread @ p) @ spread / sigma[:, None],
        start[first],
        (low[first], high[first]),
    )
    root = spread @ np.linalg.pinv(found.jac)
    rss = float(np.sum(found.fun**2))
    at_bound = spread @ (found.active_mask != 0) > 0
    return Fit(spread @ found.x, root @ root.T, rss, len(value) - len(first), at_bound)


def best_fit(
    energy: np.ndarray,
    value: np.ndarray,
    sigma: np.ndarray,
    starts: tuple[tuple[Part, ...], ...],
    shared: tuple[tuple[tuple[int, str], ...], ...] = (),
) -> Fit:
    """The best of the fits from several starts: one alone may end in a hollow that is not the lowest.

    Raises ValueError where none settles.
    """
    found = []
    for parts in starts:
        try:
            found.append(fit(energy, value, sigma, parts, shared))
        except ValueError as trouble:
            last = trouble
    if not found:
        raise ValueError(str(last))
    return min(found, key=lambda each: each.rss)


def _spread_out(parts: tuple[Part, ...], shared: tuple) -> np.ndarray:
    """Matrix (parameters, free ones) from the free parameters to all of them."""
    places = {}
    for part, each in enumerate(parts):
        for name in SHAPES[each.kind].names:
            places[part, name] = len(places)
    leader = list(range(len(places)))
    for group in shared:
        for member in group:
            if member not in places:
                raise ValueError(f"part {member[0]} has no parameter {member[1]}")
            leader[places[member]] = places[group[0]]
    free = sorted(set(leader))
    spread = np.zeros((len(places), len(free)))
    spread[np.arange(len(places)), [free.index(each) for each in leader]] = 1.0
    return spread


def _search(left_over: Callable, slopes: Callable, start: np.ndarray, bounds: tuple):
    from scipy.optimize import least_squares

    method = "trf" if np.any(np.isfinite(bounds)) else "lm"
    tight = 1e-15
    found = least_squares(
        left_over, start, slopes, bounds, method, tight, tight, tight, x_scale="jac", max_nfev=4000
    )
    if found.status == 0 or not np.all(np.isfinite(found.x)):
        raise ValueError("the fit did not settle; other starting values are needed")
    return found


def _shared_out(parts: tuple[Part, ...], parameters: np.ndarray):
    place = 0
    for part in parts:
        yield part.kind, parameters[place : place + len(part.start)]
        place += len(part.start)


def _checked(parts: tuple[Part, ...]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    for part in parts:
        if part.kind not in SHAPES:
            raise ValueError(f"a part must be one of {', '.join(SHAPES)}, found {part.kind}")
        needed = len(SHAPES[part.kind].names)
        if {len(part.start), len(part.low), len(part.high)} != {needed}:
            raise ValueError(f"a {part.kind} needs {needed} numbers, found {len(part.start)}")
    return tuple(
        np.array([number for part in parts for number in row(part)], float)
        for row in (lambda p: p.start, lambda p: p.low, lambda p: p.high)
    )
