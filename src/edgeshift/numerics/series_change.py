"""What changes over repeats of one spot: an energy slide, a sag of the yield, or the shape itself.

Arrays only. The change is the straight trend over the order of the scans, from the first to the last; gain,
offset and slope are taken out of it, because they change harmlessly. What a slide explains is found by
moving the scans back; a sag is a loss that grows along the scan and with the absorption itself; the rest is
a change of shape, as a dose makes it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.local_lines import slopes, spline
from edgeshift.numerics.outliers import alone
from edgeshift.numerics.slides import quick_slide

LEAST_POINTS = 32
BLOCK = 5
"""Points taken together: a change that no line is narrow enough to hide in has to show over so many."""
SURE = 6.0
"""A change is told where its blocks stand so many standard deviations above what noise alone gives."""
LEAST_SIZE, LEAST_SIGMAS = 0.025, 3.5
"""Smaller changes, as a share of the curve's height over the whole series, are not told (practice), nor ones
whose tallest block is less sure."""
EXPLAINS, DOUBT = 0.92, 1.5
"""A slide, or a sag, is the cause where it explains this share of the change, less this many times the share
that noise alone has in it."""
SETTLES = 0.25
"""A charged specimen has settled after about this share of a scan (practice, no source)."""
READ_BACK = 0.03
"""Energies are read back no better than this share of their own step (practice, no source)."""


class Change(NamedTuple):
    """The change from the first scan to the last.

    `kind` is none, slide, sag or shape. `size` is the largest change as a share of the curve's height, with
    its standard error `sigma`; `whole` is the size with any slide left in, and `slide_ev` what the last scan
    lies above the first. `form` (points,) is the change on `energy_ev`, slide, gain, offset and slope taken
    out; `level` (points,) the mean curve.
    """

    kind: str
    size: float
    sigma: float
    whole: float
    slide_ev: float
    energy_ev: np.ndarray
    form: np.ndarray
    level: np.ndarray


def change_over(energy_ev: np.ndarray, curves: np.ndarray, along: np.ndarray, presses: bool) -> Change | None:
    """The change over scans (scans, points), in order, on common energies; None where too little is common.

    `along` (points,) is how far through the scan each point was taken, 0 to 1. `presses` says that tall parts
    may be pressed down harmlessly, as thickness and dead time do to fluorescence.
    """
    good = np.isfinite(curves).all(axis=0)
    if len(curves) < 2 or np.count_nonzero(good) < LEAST_POINTS:
        return None
    at, rows, along = energy_ev[good], _one_gain(energy_ev[good], curves[:, good]), along[good]
    weights = _trend_weights(len(rows))
    level = rows.mean(axis=0)
    height = float(np.ptp(level))
    sigma = _noise(at, rows, weights)
    whole = _explained(at, weights @ rows, sigma, _harmless(at, level, presses))
    back, slide_ev = _moved_back(at, rows, weights)
    moved = _explained(at, weights @ back, sigma, _harmless(at, level, presses))
    sagged = _explained(
        at, weights @ rows, sigma, np.vstack([_harmless(at, level, presses), _sag(level, along)])
    )
    kind = _kind(whole, moved, sagged)
    form = whole.rest if kind in ("sag", "none") else moved.rest
    size, error = _tallest(whole.rest if kind == "slide" else form, sigma)
    if size < max(LEAST_SIZE * height, LEAST_SIGMAS * error):
        kind = "none"
    largest = _tallest(whole.rest, sigma)[0]
    return Change(kind, size / height, error / height, largest / height, slide_ev, at, form, level)


def _tallest(rest: np.ndarray, sigma: np.ndarray) -> tuple[float, float]:
    """Size of the tallest block and its noise."""
    sizes, errors = np.abs(_blocks(rest)), np.sqrt(_blocks(sigma**2) / BLOCK)
    top = int(np.argmax(sizes))
    return float(sizes[top]), float(errors[top])


class _Rest(NamedTuple):
    """What columns leave of a trend (points,), and how far its blocks exceed noise: chi-square over their
    count, less one, in its own standard deviations; `excess` is chi-square above what noise gives."""

    rest: np.ndarray
    stands_out: float
    excess: float


def _explained(at: np.ndarray, trend: np.ndarray, sigma: np.ndarray, columns: np.ndarray) -> _Rest:
    weights = least_squares(columns / sigma, trend / sigma)
    rest = trend - weights @ columns
    blocks = _blocks(rest) / np.sqrt(_blocks(sigma**2) / BLOCK)
    count = blocks.size
    chi2 = float(np.sum(blocks**2))
    return _Rest(rest, (chi2 / count - 1.0) / np.sqrt(2.0 / count), max(chi2 - count, 0.0))


def _kind(whole: _Rest, moved: _Rest, sagged: _Rest) -> str:
    if whole.stands_out < SURE:
        return "none"
    by_slide, by_sag = (1.0 - each.excess / whole.excess for each in (moved, sagged))
    if max(by_slide, by_sag) < EXPLAINS - DOUBT / whole.stands_out:
        return "shape"
    return "slide" if by_slide >= by_sag else "sag"


def _one_gain(at: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """Every scan brought to the height of the mean: beam and position change it harmlessly."""
    level = rows.mean(axis=0)
    columns = np.stack([level - level.mean(), np.ones(at.size), at - at.mean()])
    gains = np.array([least_squares(columns, row)[0] for row in rows])
    return rows / np.where(np.abs(gains) > 0.05, gains, 1.0)[:, None]


def _trend_weights(count: int) -> np.ndarray:
    """Weights (scans,) whose sum with the scans is the straight change from the first to the last."""
    order = np.arange(count) - (count - 1) / 2.0
    return order * (count - 1) / float(order @ order)


def _noise(at: np.ndarray, rows: np.ndarray, weights: np.ndarray) -> np.ndarray:
    noise = np.sqrt(weights**2 @ alone(np.broadcast_to(at, rows.shape), rows).sigma ** 2)
    read_back = READ_BACK * np.gradient(at) * slopes(at, rows.mean(axis=0)) * np.sqrt(weights @ weights)
    return np.hypot(noise, read_back)


def _harmless(at: np.ndarray, level: np.ndarray, presses: bool) -> np.ndarray:
    centred = level - level.mean()
    plain = [centred, np.ones(at.size), (at - at.mean()) / np.ptp(at)]
    return np.stack([*plain, centred**2 / np.ptp(level)] if presses else plain)


def _sag(level: np.ndarray, along: np.ndarray) -> np.ndarray:
    """Losses that grow with the time in the scan and with the yield itself."""
    share = level / float(np.max(np.abs(level)))
    grown = 1.0 - np.exp(-along / SETTLES)
    return np.stack([share * grown, share**2 * grown, share * along])


def _moved_back(at: np.ndarray, rows: np.ndarray, weights: np.ndarray) -> tuple[np.ndarray, float]:
    """The scans, each moved to the first one's energies, and the slide from first to last."""
    first = spline(at, rows[0])
    found = [0.0] + [quick_slide(at, row, first).slide_ev for row in rows[1:]]
    steady = [slide if np.isfinite(slide) else 0.0 for slide in found]
    back = [spline(at - slide, row).at(at) if slide else row for slide, row in zip(steady, rows, strict=True)]
    back = [np.where(np.isfinite(row), row, own) for row, own in zip(back, rows, strict=True)]
    return np.array(back), float(weights @ np.array(steady))


def _blocks(values: np.ndarray) -> np.ndarray:
    """Means of BLOCK neighbouring points; a rest at the end is left out."""
    count = values.size // BLOCK
    return values[: count * BLOCK].reshape(count, BLOCK).mean(axis=1)


class Along(NamedTuple):
    """How far another curve lies along a change, 0 at the first scan and 1 at the last, with its error."""

    share: float
    sigma: float


def share_of_change(found: Change, energy_ev: np.ndarray, first: np.ndarray, other: np.ndarray) -> Along:
    """Where `other` lies between the first scan and the last of a series, by the form of their change.

    `first` and `other` (points,) share `energy_ev`; gain, offset, slope and a slide are fitted beside it.
    Also for another detector: both are counted in that detector's own height. NaN where too little is
    common.
    """
    form, level = (np.interp(energy_ev, found.energy_ev, each) for each in (found.form, found.level))
    inside = (energy_ev >= found.energy_ev[0]) & (energy_ev <= found.energy_ev[-1])
    good = np.isfinite(first) & np.isfinite(other) & inside
    if np.count_nonzero(good) < LEAST_POINTS:
        return Along(float("nan"), float("nan"))
    at, mine, theirs = energy_ev[good], first[good], other[good]
    height = float(np.ptp(mine)) / float(np.ptp(level[good]))
    columns = np.vstack([_harmless(at, mine, False), slopes(at, mine), form[good] * height])
    weights = least_squares(columns, theirs)
    gain = weights[0] if abs(weights[0]) > 0.05 else 1.0
    rest = theirs - weights @ columns
    error = float(np.std(rest)) * float(unit_errors(columns)[-1]) / abs(gain)
    return Along(float(weights[-1] / gain), error)
