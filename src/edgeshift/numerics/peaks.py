"""Sums of lines, steps and plain backgrounds, fitted by least squares with exact slopes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from edgeshift.numerics import lines
from edgeshift.numerics.downhill import search


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
    return lines.columns(np.ones_like(energy) + 0 * slope, energy)


def _decay_slopes(energy: np.ndarray, height: float, rate: float) -> np.ndarray:
    fall = np.exp(-rate * energy)
    return lines.columns(fall, -height * energy * fall)


_LINE = ("height", "centre", "fwhm")

SHAPES = {
    "constant": Shape(
        ("level",),
        lambda energy, level: level + 0 * energy,
        lambda energy, level: lines.columns(np.ones_like(energy) + 0 * level),
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


NARROWEST = 1e-9
"""Where a width is not bounded: above nought."""


def free(kind: str, start: tuple[float, ...]) -> Part:
    """A part without bounds, but that a width has no sign."""
    low = (
        tuple(NARROWEST if name == "fwhm" else -np.inf for name in SHAPES[kind].names)
        if kind in SHAPES
        else ()
    )
    return Part(kind, start, low, (np.inf,) * len(start))


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
    return best_fit(energy, value, sigma, (parts,), shared)


def best_fit(
    energy: np.ndarray,
    value: np.ndarray,
    sigma: np.ndarray,
    starts: tuple[tuple[Part, ...], ...],
    shared: tuple[tuple[tuple[int, str], ...], ...] = (),
) -> Fit:
    """The best of the fits from several starts: one alone may end in a hollow that is not the lowest.

    Raises ValueError as `fit`, where none settles.
    """
    (found,) = best_fits(energy, value[None], sigma[None], (starts,), shared)
    if found is None:
        raise ValueError("the fit did not settle; other starting values are needed")
    return found


def best_fits(
    energy: np.ndarray,
    values: np.ndarray,
    sigmas: np.ndarray,
    starts: Sequence[tuple[tuple[Part, ...], ...]],
    shared: tuple[tuple[tuple[int, str], ...], ...] = (),
) -> list[Fit | None]:
    """The best fit of each of many curves (curves, points) by parts of the same kinds; None where none
    settles.

    `starts` are those of each curve. Many at once cost less than one after another. Raises
    ValueError as `fit`.
    """
    rows = [_checked(each) for of_curve in starts for each in of_curve]
    parts = starts[0][0]
    spread = _spread_out(parts, shared)
    first = np.argmax(spread, axis=0)
    start, low, high = (np.array(each)[:, first] for each in zip(*rows, strict=True))
    of = np.repeat(np.arange(len(starts)), [len(each) for each in starts])
    use = np.isfinite(energy) & np.isfinite(values) & np.isfinite(sigmas)
    if (fewest := int(use.sum(axis=1).min())) <= len(first):
        raise ValueError(f"{len(first)} parameters need more points than that, found {fewest}")
    at = np.where(np.isfinite(energy), energy, 0.0)
    weight = np.where(use, 1 / np.where(use, sigmas, 1.0), 0.0)
    goal = np.where(use, values, 0.0) * weight
    many = _Many(at, parts)

    def left(now: np.ndarray, here: np.ndarray) -> np.ndarray:
        return many.value(now @ spread.T) * weight[of[here]] - goal[of[here]]

    def slopes(now: np.ndarray, here: np.ndarray) -> np.ndarray:
        by = many.slopes(now @ spread.T)
        by *= weight[of[here], None, :]
        return spread.T @ by if shared else by

    ended = search(left, slopes, start, low, high, of)
    fits: list[Fit | None] = []
    for curve in range(len(starts)):
        mine = np.flatnonzero(of == curve)
        best = mine[np.argmin(ended.rss[mine])]
        if not np.isfinite(ended.rss[best]):
            fits.append(None)
            continue
        now = ended.parameters[best]
        root = spread @ _inverse(slopes(now[None], np.array([best]))[0].T)
        fits.append(
            Fit(spread @ now, root @ root.T, float(ended.rss[best]), int(use[curve].sum()) - len(first),
                spread @ ended.held[best] > 0)
        )  # fmt: skip
    return fits


class _Many:
    """Values and slopes of one model with many sets of parameters, all parts of a kind at once."""

    def __init__(self, energy: np.ndarray, parts: tuple[Part, ...]) -> None:
        self.energy, self.count, self.kinds = energy, sum(len(part.start) for part in parts), {}
        place = 0
        for part in parts:
            own = range(place, place + len(part.start))
            self.kinds.setdefault(part.kind, []).append(own)
            place = own.stop

    def value(self, parameters: np.ndarray) -> np.ndarray:
        """(sets, points) of parameters (sets, all)."""
        return sum(SHAPES[kind].value(self.energy, *_each(parameters, own)).sum(axis=1)
                   for kind, own in self.kinds.items())  # fmt: skip

    def slopes(self, parameters: np.ndarray) -> np.ndarray:
        """(sets, all, points)."""
        found = np.empty((*parameters.shape, self.energy.size))
        for kind, own in self.kinds.items():
            found[:, own] = SHAPES[kind].slopes(self.energy, *_each(parameters, own)).swapaxes(-1, -2)
        return found


def _each(parameters: np.ndarray, own: list[range]) -> np.ndarray:
    """Each parameter of the parts that own these (sets, parts, 1)."""
    return np.moveaxis(parameters[:, own], -1, 0)[..., None]


def _inverse(slopes: np.ndarray) -> np.ndarray:
    """The inverse of slopes (points, p), or the nearest there is where some say the same."""
    factor = np.linalg.qr(slopes, mode="r")
    size = np.abs(np.diag(factor))
    scale = np.linalg.norm(slopes, axis=0)
    if np.all(size > 1e-10 * scale):
        return np.linalg.inv(factor)
    return np.linalg.pinv(slopes)


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
