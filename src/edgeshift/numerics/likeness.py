"""Whether a scan is like the others of its specimen, and whether the beam's own marks are in it.

Arrays only; energies rise strictly, NaN where a point is not usable.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import compress
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.completeness import three_point_mean
from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.local_lines import Spline, local_weights, slopes
from edgeshift.numerics.noise import line_residuals, robust_spread, single_scan_noise
from edgeshift.numerics.slides import quick_slide

LEAST_POINTS = 24
CLEAR_HEIGHT = 20.0
"""Shares of a height are told from so many times the noise of one point on (practice, no source)."""
CLEAR_MARKS = 2.0
"""The beam's structure is clear from so many times its noise on (practice, no source)."""
CLEAR_STRUCTURE = 4.0
"""A curve's structure can be compared with another's from so many times its noise on (practice, no
source)."""
LEAST_SHARED = 32
LEAST_BEAM_STRUCTURE = 0.001
"""Fine structure of I0 below this share of it cannot leave marks worth a word (practice, no source)."""


class Likeness(NamedTuple):
    """One scan against the mean of the others, in units of the scan's own height.

    `tilt` is by how much it rises over the whole range against them, `squeeze` how far its tall parts are
    bent down (0.2: a point at half height stands 5 % of the height too high beside the ends). Each with its
    standard error from the scatter that is left. `noise_ratio` is its noise over the others' median.
    """

    tilt: float
    tilt_sigma: float
    squeeze: float
    squeeze_sigma: float
    noise_ratio: float


def likeness(energy_ev: np.ndarray, value: np.ndarray, others: Sequence[Spline]) -> Likeness | None:
    """Compare a scan (points,) with others, each moved to where the scan lies: a slide is no other shape.

    None where too little is common, or has no shape; tilt and squeeze are NaN where no height stands out of
    the noise.
    """
    placed = np.array([_in_place(energy_ev, value, other) for other in others])
    there = np.isfinite(placed)
    high = np.max(placed, axis=1, where=there, initial=-np.inf)
    height = high - np.min(placed, axis=1, where=there, initial=np.inf)
    tall = height > 0.0
    scaled, there = placed[tall] / height[tall, None], there[tall]
    good = np.isfinite(value) & there.all(axis=0)
    if not tall.any() or np.count_nonzero(good) < LEAST_POINTS:
        return None
    at, mine, theirs = energy_ev[good], value[good], np.mean(scaled[:, good], axis=0)
    if not min(np.ptp(mine), np.ptp(theirs)) > 0.0:
        return None
    level = (theirs - theirs.min()) / np.ptp(theirs)
    tilt = (at - at.mean()) / np.ptp(at)
    columns = np.stack([level, np.ones(at.size), tilt, slopes(at, level), level * (1.0 - level)])
    found = least_squares(columns, mine)
    errors = robust_spread(mine - found @ columns) * unit_errors(columns)
    gain = abs(float(found[0]))
    gain = gain if gain > CLEAR_HEIGHT * single_scan_noise(at, mine) else np.nan
    told = (float(part) / gain for part in (found[2], errors[2], found[4], errors[4]))
    # On their own energies, because a curve that was moved is smoother than it was.
    whole = zip(compress(others, tall), height[tall], strict=True)
    known = [each for each in (_noise(o.energy_ev, o.value / size) for o, size in whole) if np.isfinite(each)]
    # Others so broken that none tells its noise: then nothing is said of ours.
    ratio = (
        _noise(energy_ev, value / np.ptp(mine)) / max(float(np.median(known)), 1e-300) if known else np.nan
    )
    return Likeness(*told, ratio)


def _noise(energy_ev: np.ndarray, value: np.ndarray) -> float:
    return float(robust_spread(line_residuals(energy_ev, value)))


def _in_place(energy_ev: np.ndarray, value: np.ndarray, other: Spline) -> np.ndarray:
    """Another scan on these energies (points,), moved by its slide against this one where that is known."""
    slide_ev = quick_slide(energy_ev, value, other).slide_ev
    return other.at(energy_ev - (slide_ev if np.isfinite(slide_ev) else 0.0))


def structure_share(energy_ev: np.ndarray, value: np.ndarray, other: np.ndarray, beside: np.ndarray) -> float:
    """Share of a curve's structure that another curve explains (0..1), all arrays (points,), finite.

    A smooth bend is left aside, and so is whatever `beside` (columns, points) holds. 0 where points are few,
    no structure is clear, or the other curve would have to be turned upside down.
    """
    if energy_ev.size < LEAST_SHARED or not np.ptp(other) > 0:
        return 0.0
    x = 2.0 * (energy_ev - energy_ev.mean()) / np.ptp(energy_ev)
    bends = np.vstack([np.ones(x.size), x, x**2, *beside])
    plain = value - least_squares(bends, value) @ bends
    columns = np.vstack([bends, (other - other.mean()) / np.ptp(other)])
    weights = least_squares(columns, value)
    noise = np.hypot(
        single_scan_noise(energy_ev, value), weights[-1] * single_scan_noise(energy_ev, columns[-1])
    )
    structure = float(np.mean(plain**2)) - noise**2
    if weights[-1] <= 0 or structure < (CLEAR_STRUCTURE * noise) ** 2:
        return 0.0
    rest = max(float(np.mean((value - weights @ columns) ** 2)) - noise**2, 0.0)
    return 1.0 - rest / structure


class Coherence(NamedTuple):
    """Correlation of the fine structure of a curve with that of I0, how many standard deviations it is
    from chance, and how large the shared part is beside the curve's noise."""

    correlation: float
    sigmas: float
    size: float


def coherence(energy_ev: np.ndarray, value: np.ndarray, i0: np.ndarray) -> Coherence | None:
    """Coherence of high-passed signal/I0 with high-passed I0; None where points are few or I0 is smooth.

    Points next to one another are alike in both, so the number of independent ones is taken from their
    own correlations (Bartlett 1946): without that a white line beside any dip would look like coherence.
    """
    good = np.isfinite(value) & np.isfinite(i0)
    if good.sum() < LEAST_POINTS:
        return None
    at = energy_ev[good]
    beam = i0[good] / np.median(i0[good])
    fine_beam, fine = _fine(at, np.stack([beam, value[good]]))
    least = max(2.0 * single_scan_noise(at, beam), LEAST_BEAM_STRUCTURE)
    if np.std(fine_beam) < least or not np.std(fine) > 0:
        return None
    correlation = float(np.corrcoef(fine_beam, fine)[0, 1])
    alike = 1.0 + 2.0 * np.sum(_own_correlation(fine_beam) * _own_correlation(fine))
    independent = max(at.size / max(alike, 1.0), 4.0)
    sigmas = float(np.arctanh(np.clip(correlation, -0.999, 0.999)) * np.sqrt(independent - 3.0))
    size = abs(correlation) * float(np.std(fine)) / max(single_scan_noise(at, value[good]), 1e-300)
    return Coherence(correlation, sigmas, size)


def _fine(at: np.ndarray, curves: np.ndarray) -> np.ndarray:
    """Structure of curves (curves, points) broader than a point and narrower than about sixteen."""
    smooth = three_point_mean(curves)
    return smooth - local_weights(at, np.ones(at.size, dtype=bool), 8, 2).predict(curves)


def _own_correlation(curve: np.ndarray) -> np.ndarray:
    """Correlations of a curve with itself at lags of 1 to 15 points."""
    centred = curve - curve.mean()
    return np.correlate(centred, centred, "full")[curve.size : curve.size + 15] / np.sum(centred**2)


class LeftMarks(NamedTuple):
    """How much of the beam's usual structure one monitor shows, and how much its divided curve still has
    (1: all of it), with the standard error of the latter."""

    in_monitor: float
    in_curve: float
    sigma: float


def left_marks(mine: tuple, others: list[tuple]) -> LeftMarks | None:
    """Marks that a division left. `mine` and `others` are (energy_ev, value, i0), each (points,).

    The structure is what the others' I0 have in common beside a smooth bend; None where there is none, or
    where too few points are common. An absorption line may hide it in the curve: it is sought with and
    without the others' mean curve beside it, and the surer of both is told.
    """
    at, value, i0 = mine
    beams = np.array([np.interp(at, x, beam, np.nan, np.nan) for x, _, beam in others])
    theirs = np.mean([_over_mean(at, x, curve) for x, curve, _ in others], axis=0)
    good = np.isfinite(value) & np.isfinite(i0) & np.isfinite(beams).all(axis=0) & np.isfinite(theirs)
    if np.count_nonzero(good) < LEAST_POINTS or 2 * np.count_nonzero(good) < at.size:
        return None
    at, value, i0, beams, theirs = at[good], value[good], i0[good], beams[:, good], theirs[good]
    x = 2.0 * (at - at.mean()) / np.ptp(at)
    bends = np.stack([np.ones(x.size), x, x**2])
    usual = np.median(beams / np.mean(beams, axis=1, keepdims=True), axis=0)
    marks = usual - least_squares(bends, usual) @ bends
    least = max(CLEAR_MARKS * single_scan_noise(at, usual), LEAST_BEAM_STRUCTURE)
    if np.std(marks) < least or not (i0.mean() > 0 and value.mean() > 0):
        return None
    columns = np.vstack([bends, marks])
    in_monitor = least_squares(columns, i0 / i0.mean())[-1]
    curve = value / value.mean()
    told = max(
        (_last(columns, curve), _last(np.vstack([theirs, columns]), curve)),
        key=lambda part: part[0] / part[1],
    )
    return LeftMarks(float(in_monitor), *told)


def _over_mean(at: np.ndarray, energy_ev: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """A curve at other energies over its mean there; NaN beyond its usable points, or without a mean."""
    good = np.isfinite(curve)
    moved = (
        np.interp(at, energy_ev[good], curve[good], np.nan, np.nan)
        if good.any()
        else np.full(at.size, np.nan)
    )
    mean = float(np.nanmean(moved)) if np.isfinite(moved).any() else 0.0
    return moved / mean if mean > 0.0 else np.full(at.size, np.nan)


def _last(columns: np.ndarray, curve: np.ndarray) -> tuple[float, float]:
    """The amount of the last column in a curve, with its standard error by what is left."""
    found = least_squares(columns, curve)
    error = float(np.std(curve - found @ columns)) * float(unit_errors(columns)[-1])
    return float(found[-1]), max(error, 1e-300)
