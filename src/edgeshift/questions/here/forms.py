"""What form: features and fitted lines of one edge, spot by spot, and what a published line makes of them.

A line is added to the fit only where it earns its place twice: by chance it would help so much seldom, and it
takes away a share of the left-over that is worth a word. Both numbers stand beside it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from edgeshift.numerics import features
from edgeshift.numerics.components import f_test
from edgeshift.numerics.grids import bridged
from edgeshift.numerics.peaks import SHAPES, Fit, Part, best_fit, model
from edgeshift.numerics.white_lines import ratio_of_areas_above_two_to_one_step
from edgeshift.recipe.experiment import Calibration, Feature
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.spectrum import Spectrum
from edgeshift.tables.edges import edge_named

MOST_LINES = 5
CHANCE, EXPLAINS = 0.001, 0.10
"""A line stays where chance would help as much less often than that, and where it takes so much of the sum of
squares that was left (practice, no source)."""
NARROW_EV, WIDE_EV = 0.3, 12.0
STEP_FWHM_EV = 1.0
"""Width of the arctangents under L3 and L2 (common practice, no source)."""
LINE = "pseudo-voigt"


def form(edge_set: EdgeSet, feature: Feature | None, calibration: Calibration | None) -> dict[str, Any]:
    """Every kept spot of an edge: its declared feature, its fitted lines, and the calibrated quantity."""
    spots = []
    for curve in edge_set.spots:
        told: dict[str, Any] = {
            "specimen": curve.place.specimen,
            "spot": curve.place.spot,
            "unit": curve.unit,
            "scans": list(curve.scans),
        }
        told["feature"] = read(feature, curve) if feature else None
        told["fit"] = fitted(curve, edge_set.edge)
        told["calibrated"] = calibrated(calibration, told["feature"]) if calibration and feature else None
        spots.append(told)
    return {"spots": spots}


def read(feature: Feature, curve: Spectrum) -> dict[str, Any]:
    """The feature's number with its error from noise, found by moving every point by its own error."""
    at, value = curve.energy_ev, bridged(curve.energy_ev, curve.value)
    number = _number(feature, at, value)
    rng = np.random.default_rng(0)
    sigma = np.where(np.isfinite(curve.sigma), curve.sigma, 0.0)
    moved = [_number(feature, at, value + sigma * rng.standard_normal(at.size)) for _ in range(24)]
    known = [each for each in moved if math.isfinite(each)]
    spread = float(np.std(known, ddof=1)) if len(known) > 2 else math.nan
    return {
        "kind": feature.kind,
        "windows": [list(w) for w in feature.windows],
        "value": number,
        "sigma": spread,
    }


def _number(feature: Feature, at: np.ndarray, value: np.ndarray) -> float:
    first = feature.windows[0]
    try:
        match feature.kind:
            case "ratio":
                return features.ratio(at, value, *feature.windows)
            case "line-ratio":
                return ratio_of_areas_above_two_to_one_step(at, value, *feature.windows, STEP_FWHM_EV)
            case "height":
                return features.mean_in(at, value, first)
            case _:
                return getattr(features, feature.kind)(at, value, first)
    except ValueError:
        return math.nan


def fitted(curve: Spectrum, edge: str) -> dict[str, Any] | None:
    """Arctangent steps and as many lines as earn their place; None where no fit settles.

    Lines share nothing; the steps of a pair share their width, and the second is half as high as the first
    to start with. `lines` hold height, centre and width with errors from what is left, and the test that let
    the line in; `refused` is the test of the first line that was not.
    """
    good = np.isfinite(curve.value) & np.isfinite(curve.sigma) & (curve.sigma > 0)
    at, value, sigma = curve.energy_ev[good], curve.value[good], curve.sigma[good]
    if at.size < 20:
        return None
    steps, shared = _steps(at, value, edge)
    parts, tests, refused = steps, [], None
    now = _settled(at, value, sigma, parts, shared)
    while now is not None and len(tests) < MOST_LINES:
        more = (*_at(parts, now), _line(at, value - model(at, parts, now.parameters)))
        better = _settled(at, value, sigma, more, shared)
        if better is None or better.df < 5:
            break
        test = f_test(now.rss, now.df, better.rss, better.df)
        told = {"f": test.f, "p": test.p, "explained": test.explained}
        if test.p > CHANCE or test.explained < EXPLAINS:
            refused = told
            break
        parts, now = more, better
        tests.append(told)
    return None if now is None else _told(parts, now, tests, refused, len(steps))


def calibrated(line: Calibration, read_: Mapping[str, Any]) -> dict[str, Any]:
    """The quantity that a published line gives, or why it gives none; its error is never below the stated
    one."""
    number, sigma = read_["value"], read_["sigma"]
    said = {"gives": line.gives, "source": line.source, "saturation": line.saturation}
    if not math.isfinite(number):
        return {**said, "value": None, "reason": "the feature has no number here"}
    if not line.between[0] <= number <= line.between[1]:
        low, high = line.between
        reason = f"the source covers features from {low:g} to {high:g}, found {number:.4g}"
        return {**said, "value": None, "reason": reason}
    powers = np.polynomial.Polynomial(line.coefficients)
    slope = float(powers.deriv()(number))
    noise = abs(slope) * sigma if math.isfinite(sigma) else 0.0
    return {**said, "value": float(powers(number)), "sigma": math.hypot(line.error, noise), "reason": ""}


def _steps(at: np.ndarray, value: np.ndarray, edge: str) -> tuple[tuple[Part, ...], tuple]:
    """One arctangent for a single edge, two of one width for a pair, under a level."""
    family = edge_named(edge)
    split = family.splits_ev[0].value if family.splits_ev else 0.0
    height = max(float(np.median(value[-max(5, value.size // 8) :])), 1e-3)
    rise = features.crossing(at, np.convolve(value, np.ones(5) / 5.0, "same"), 0.5 * height)
    rise = rise if math.isfinite(rise) else float(np.median(at))
    shares = (2.0 / 3.0, 1.0 / 3.0) if split else (1.0,)
    arctangents = tuple(
        Part(
            "arctangent",
            (share * height, rise + k * split, STEP_FWHM_EV),
            (0.0, rise + k * split - 5.0, NARROW_EV),
            (np.inf, rise + k * split + 5.0, 6.0),
        )
        for k, share in enumerate(shares)
    )
    level = Part("constant", (0.0,), (-np.inf,), (np.inf,))
    shared = (((1, "fwhm"), (2, "fwhm")),) if split else ()
    return (level, *arctangents), shared


def _line(at: np.ndarray, rest: np.ndarray) -> Part:
    """A line where most is left."""
    smooth = np.convolve(rest, np.ones(3) / 3.0, "same")
    top = int(np.argmax(smooth))
    high = max(float(smooth[top]), 1e-6)
    above = np.flatnonzero(smooth > 0.5 * high)
    near = above[np.abs(at[above] - at[top]) < WIDE_EV]
    width = float(np.clip(np.ptp(at[near]) if near.size > 1 else 1.0, 2 * NARROW_EV, 0.6 * WIDE_EV))
    return Part(
        LINE,
        (high, float(at[top]), width, 0.4),
        (0.0, float(at[0]), NARROW_EV, 0.0),
        (np.inf, float(at[-1]), WIDE_EV, 1.0),
    )


def _at(parts: tuple[Part, ...], found: Fit) -> tuple[Part, ...]:
    """The parts, starting where a fit ended."""
    place, moved = 0, []
    for part in parts:
        now = found.parameters[place : place + len(part.start)]
        inside = np.clip(now, np.nextafter(part.low, np.inf), np.nextafter(part.high, -np.inf))
        moved.append(part._replace(start=tuple(inside.tolist())))
        place += len(part.start)
    return tuple(moved)


def _settled(at, value, sigma, parts: tuple[Part, ...], shared: tuple) -> Fit | None:
    """The best of three starts: as they are, and with the last part a little to either side."""
    *others, last = parts
    centre = 1 if "centre" in SHAPES[last.kind].names else None
    starts = [parts]
    for by in (-0.5, 0.5) if centre else ():
        moved = list(last.start)
        moved[centre] = float(np.clip(moved[centre] + by * moved[2], last.low[centre], last.high[centre]))
        starts.append((*others, last._replace(start=tuple(moved))))
    try:
        return best_fit(at, value, sigma, tuple(starts), shared)
    except ValueError:
        return None


def _told(
    parts: tuple[Part, ...], found: Fit, tests: list[dict], refused: dict | None, steps: int
) -> dict[str, Any]:
    errors, place, told = found.errors_from_scatter, 0, []
    for part in parts:
        names = SHAPES[part.kind].names
        own = slice(place, place + len(names))
        numbers = zip(names, found.parameters[own].tolist(), errors[own].tolist(), strict=True)
        entry: dict[str, Any] = {name: {"value": value, "sigma": error} for name, value, error in numbers}
        told.append({"kind": part.kind, "at_bound": bool(found.at_bound[own].any()), **entry})
        place += len(names)
    lines = [{**line, "test": test} for line, test in zip(told[steps:], tests, strict=True)]
    return {"steps": told[:steps], "lines": lines, "refused": refused, "rss": found.rss, "df": found.df}
