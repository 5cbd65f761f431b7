"""How far one curve lies from another along the energy axis, with how well that can be known.

The curve is taken as ``gain * reference(energy - slide) + offset + slope * energy``; gain, offset and slope
are fitted beside the slide, so that a change of scale or of background is not mistaken for one.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.local_lines import Spline


class Curve(NamedTuple):
    """A curve with its independent error: rising energies in eV, values and sigma, all (points,)."""

    energy: np.ndarray
    value: np.ndarray
    sigma: np.ndarray


class Slide(NamedTuple):
    """Slide in eV (above 0: the curve lies higher in energy) with its standard error, the other three, and
    chi-square with its degrees of freedom.

    Included in the error: the independent noise of both curves. Not included: a difference in shape; a
    chi-square far above `df` says that there is one.
    """

    slide_ev: float
    error_ev: float
    gain: float
    offset: float
    slope: float
    chi_square: float
    df: int


def slide_precision(energy: np.ndarray, value: np.ndarray, sigma: np.ndarray) -> float:
    """The best standard error in eV that a curve of this shape allows: ``1 / sqrt(sum (y' / sigma)^2)``.

    `sigma` (points,) is that of the difference of the two curves. Nothing but the slide is fitted here.
    """
    return float(1 / np.sqrt(np.sum((np.gradient(value, energy) / sigma) ** 2)))


def slide_between(curve: Curve, reference: Curve, reach_ev: float) -> Slide:
    """The slide of `curve` against `reference`, sought within +/- reach_ev.

    Only the stretch that the reference covers at every slide within reach is used, so that all slides are
    judged on the same points. Raises ValueError with fewer than 8 such points, or where the best slide
    lies at the end of the reach.
    """
    from scipy.interpolate import CubicSpline

    reference, curve = _whole(reference), _whole(curve)
    low, high = reference.energy[0] + reach_ev, reference.energy[-1] - reach_ev
    curve = Curve(*(part[(curve.energy >= low) & (curve.energy <= high)] for part in curve))
    if len(curve.energy) < 8:
        raise ValueError(f"a slide needs 8 points in common, found {len(curve.energy)}")
    shape = CubicSpline(reference.energy, reference.value)
    start = _coarse(curve, reference, shape, reach_ev)
    return _refined(curve, reference, shape, start, reach_ev)


def _whole(curve: Curve) -> Curve:
    use = np.isfinite(curve.energy) & np.isfinite(curve.value) & np.isfinite(curve.sigma)
    return Curve(*(part[use] for part in curve))


def _coarse(curve: Curve, reference: Curve, shape, reach_ev: float) -> float:
    """The best slide among steps of half the reference's own step: near enough for what follows."""
    step = 0.5 * float(np.median(np.diff(reference.energy)))
    count = max(1, int(np.ceil(reach_ev / step)))
    tried = np.linspace(-reach_ev, reach_ev, 2 * count + 1)
    return float(min(tried, key=lambda slide: _linear(curve, reference, shape, slide, 1.0)[1]))


def _refined(curve: Curve, reference: Curve, shape, slide: float, reach_ev: float) -> Slide:
    gain = 1.0
    for _ in range(30):
        factors, chi_square, covariance = _linear(curve, reference, shape, slide, gain)
        move = factors[3] / factors[0] if factors[0] else np.inf
        gain = float(factors[0])
        if not np.isfinite(move) or abs(slide + move) > reach_ev:
            raise ValueError(f"no slide within {reach_ev} eV brings the two curves together")
        slide += float(move)
        if abs(move) < 1e-9:
            break
    middle = curve.energy.mean()
    offset = float(factors[1] - factors[2] * middle)
    error = float(np.sqrt(covariance[3, 3])) / abs(gain)
    return Slide(slide, error, gain, offset, float(factors[2]), chi_square, len(curve.energy) - 4)


def _linear(curve: Curve, reference: Curve, shape, slide: float, gain: float):
    """Around one slide the model is a sum: gain, offset, slope, gain times further slide.

    Returns (factors, chi-square, covariance).
    """
    at = curve.energy - slide
    tilt = curve.energy - curve.energy.mean()
    design = np.column_stack([shape(at), np.ones_like(at), tilt, -shape(at, 1)])
    noise = np.hypot(curve.sigma, gain * np.interp(at, reference.energy, reference.sigma))
    root = np.linalg.pinv(design / noise[:, None])
    factors = root @ (curve.value / noise)
    left_over = (curve.value - design @ factors) / noise
    return factors, float(left_over @ left_over), root @ root.T


class QuickSlide(NamedTuple):
    """Slide in eV with its standard error, gain and offset over the reference's height; NaN where none."""

    slide_ev: float
    error_ev: float
    gain: float
    offset: float


NO_SLIDE = QuickSlide(*(float("nan"),) * 4)
QUICK_ROUNDS, QUICK_REACH_STEPS, QUICK_WIDE_STEPS, QUICK_POINTS = 10, 15, 2, 24


@np.errstate(over="ignore", invalid="ignore")
def quick_slide(energy: np.ndarray, value: np.ndarray, reference: Spline) -> QuickSlide:
    """The slide of a curve (points,) against a spline, without scipy: for looking at every scan as it lands.

    Gain, offset and slope are fitted beside it. The error is taken from the scatter that is left, so that a
    difference in shape makes it larger. NaN where too little is common or the fit runs away; gain and
    offset are not finite where the two heights lie too far apart for numbers to hold their ratio.
    """
    good = np.isfinite(value)
    at, mine = energy[good], value[good]
    if at.size < QUICK_POINTS or reference.knots.size < QUICK_POINTS:
        return NO_SLIDE
    step = float(np.median(np.diff(at)))
    slide, reach, wide = 0.0, QUICK_REACH_STEPS * step, QUICK_WIDE_STEPS * step
    for _ in range(QUICK_ROUNDS):
        theirs = reference.at(at - slide)
        # Over a few points, because the slope of noise would make every move too small.
        steep = (reference.at(at - slide + wide) - reference.at(at - slide - wide)) / (2.0 * wide)
        there = np.isfinite(theirs + steep)
        if np.count_nonzero(there) < QUICK_POINTS:
            return NO_SLIDE
        x, y, model = at[there], mine[there], theirs[there]
        height = float(np.ptp(model))
        if not height > 0:
            return NO_SLIDE
        level = (model - model.mean()) / height
        columns = np.stack([level, np.ones(x.size), (x - x.mean()) / np.ptp(x), -steep[there] / height])
        found = least_squares(columns, y)
        if not abs(found[0]) > 0.02 * float(np.ptp(y)):
            return NO_SLIDE
        move = float(np.clip(found[3] / found[0], -reach / 4.0, reach / 4.0))
        slide += move
        if abs(slide) > reach:
            return NO_SLIDE
        if abs(move) < 1e-4:
            break
    rest = y - found @ columns
    error = float(np.std(rest) * unit_errors(columns)[3] / abs(found[0]))
    return QuickSlide(
        slide, error, float(found[0] / height), float(found[1] - found[0] * model.mean() / height)
    )
