"""What is read off an edge without fitting a shape: half a step, tops, L3 over L2 by its definitions.

One entry for each specimen, or for each scan whose specimen nobody named: the mean of its spots. Every number
has a give-or-take, and where several specimens stand beside each other it is said which are told apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from edgeshift.formats.emsa import LOSS, UNTIED
from edgeshift.numerics import white_lines
from edgeshift.numerics.features import Rise, position, rise_of_edge
from edgeshift.numerics.grids import bridged, common_grid, onto, rising
from edgeshift.numerics.noise import single_scan_noise
from edgeshift.numerics.tops import tops
from edgeshift.questions.here.searching import LEAST_GROUND
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.spectrum import Pass, Spectrum
from edgeshift.reduction.raw_curve import raw_curve
from edgeshift.reduction.steps.scale import NO_STEP
from edgeshift.tables.edges import edge_named

HALF, SPACING = 0.5, 0.1
MAIN_RISE_EV, FALLS_BACK, NOISES = 25.0, 0.3, 5.0
"""An edge leads up to the highest reading within so many eV; a curve that falls back by so much of a step
and by so many times the noise before it gets there had a line in front of its edge (practice, no source)."""
SPLIT_SLACK_EV = 2.0
NEAR_EV, FAR_EV = 4.0, 25.0
"""The first line of a pair is looked for so far around the tabulated edge; on an axis that is tied to nothing
farther (common practice, no source)."""
STEP_FWHM_EV = 1.0
"""Width of the arctangents under L3 and L2 (common practice, no source)."""
DRAWS = 24
FOIL_EV, FIRST_RISE_EV = 4.0, (5.7, 2.3)
"""A foil's first steep rise is looked for so far around the table, and read so far below and above its
steepest point (common practice, no source)."""
FOILS_APART_EV = 0.05
"""Foils of one kind that lie farther apart than this say that the axes differ (practice, no source)."""
APART = 1.96


def readings(edge_set: EdgeSet) -> list[dict[str, Any]]:
    """Every specimen of an edge, in the order of its spots; lists and numbers alone, as JSON holds them."""
    groups: dict[str, list[Spectrum]] = {}
    for spot in edge_set.spots:
        groups.setdefault(spot.place.specimen or f"/{spot.key}", []).append(spot)
    by_key = {each.scan.key: each for each in edge_set.passes}
    return [_read(edge_set, spots, by_key) for spots in groups.values()]


def in_order(found: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Specimens by their half step, each with whether it is told apart from the one before it; empty where an
    axis is tied to nothing."""
    known = [each for each in found if each["half_step"]]
    if any(each["untied"] for each in known):
        return []
    ranked, last = [], None
    for each in sorted(known, key=lambda one: one["half_step"]["value"]):
        apart = last is None or _apart(last, each["half_step"])
        ranked.append({"specimen": each["specimen"], "scans": each["scans"], "apart": apart})
        last = each["half_step"]
    return ranked


def foils_apart(found: Iterable[Mapping[str, Any]]) -> dict[str, float]:
    """What has to be added to each scan's energies so that all foils stand where they do on average, eV.

    Empty where no foil stands behind them, or where they agree already.
    """
    foils = {scan: at_ev for each in found for scan, at_ev in each["foils"].items()}
    if len(foils) < 2 or np.ptp(list(foils.values())) <= FOILS_APART_EV:
        return {}
    middle = float(np.mean(list(foils.values())))
    return {scan: middle - at_ev for scan, at_ev in foils.items()}


def _read(edge_set: EdgeSet, spots: list[Spectrum], by_key: Mapping[str, Pass]) -> dict[str, Any]:
    edge = edge_set.edge
    scans = [key for spot in spots for key in spot.scans]
    passes = [by_key[key] for key in scans if key in by_key]
    untied = any({LOSS, UNTIED} & set(each.scan.doubts) for each in passes)
    at, value, sigma = _mean(spots)
    usable = next((doubt for spot in spots for doubt in spot.doubts if doubt.startswith(NO_STEP)), "")
    return {
        "specimen": spots[0].place.specimen,
        "scans": scans,
        "spots": len(spots),
        "untied": untied,
        "no_step": usable,
        "half_step": _half_step(edge_set, spots, (at, value, sigma), passes),
        "tops": [each._asdict() for each in tops(at, value, sigma)],
        "lines": _white_lines(edge, (at, value, sigma), spots, passes, untied),
        "foils": {each.scan.key: foil for each in passes if (foil := _foil(each, edge)) is not None},
    }


def _mean(spots: list[Spectrum]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The mean of the spots' curves and its error from noise (points,)."""
    at = common_grid([spot.energy_ev for spot in spots])
    rows = [onto(at, spot.energy_ev, bridged(spot.energy_ev, spot.value)) for spot in spots]
    noise = [onto(at, spot.energy_ev, np.where(np.isfinite(spot.sigma), spot.sigma, 0.0)) for spot in spots]
    value, sigma = np.mean(rows, axis=0), np.sqrt(np.sum(np.square(noise), axis=0)) / len(spots)
    known = np.isfinite(value)
    return at[known], value[known], sigma[known]


def _half_step(
    edge_set: EdgeSet, spots: list[Spectrum], curve: tuple[np.ndarray, ...], passes: list[Pass]
) -> dict[str, Any] | None:
    """Where the edge of the mean curve rises through half a step; None without a step.

    The error holds noise, how far spots lie apart, the axis (what a tie says of itself, else the recipe's
    slide), from where to where the curve may be said to rise through it, and a tenth of the spacing: between
    two points nobody knows the curve (practice, no source).
    """
    if any(spot.unit != "step" for spot in spots):
        return None
    at, value, sigma = curve
    rise = _rise(edge_set.edge, at, value, sigma)
    if not math.isfinite(rise.at):
        return None
    here = int(np.searchsorted(at, rise.low))
    slope = (value[here] - value[here - 1]) / (at[here] - at[here - 1])
    noise = float(np.interp(rise.low, at, sigma)) / slope
    own = [_rise(edge_set.edge, spot.energy_ev, *_known(spot)).at for spot in spots]
    between = float(np.std(own, ddof=1)) / math.sqrt(len(own)) if len(own) > 1 else 0.0
    spread = between if math.isfinite(between) else 0.0
    ties = [each.scan.tie.sigma_ev for each in passes if each.scan.tie]
    axis = max(ties) if ties else edge_set.recipe.shares.slide_ev
    between_points = SPACING * float(at[here] - at[here - 1])
    anywhere = 0.5 * (rise.high - rise.low) / APART
    parts = (noise, spread, axis, between_points, anywhere)
    return {"value": rise.at, "sigma": math.hypot(*parts), "lines_before": rise.lines_before}


def _known(spot: Spectrum) -> tuple[np.ndarray, np.ndarray]:
    sigma = np.where(np.isfinite(spot.sigma), spot.sigma, 0.0)
    return bridged(spot.energy_ev, spot.value), sigma


def _rise(edge: str, at: np.ndarray, value: np.ndarray, sigma: np.ndarray) -> Rise:
    """Half a step on the edge itself. A pair's first lines are the edge, so nothing stands in front there."""
    drop = None if edge_named(edge).splits_ev else max(FALLS_BACK, NOISES * float(np.median(sigma)))
    return rise_of_edge(at, value, HALF, MAIN_RISE_EV, drop)


def _apart(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    return abs(other["value"] - one["value"]) > APART * math.hypot(one["sigma"], other["sigma"])


def _white_lines(
    edge: str,
    curve: tuple[np.ndarray, np.ndarray, np.ndarray],
    spots: list[Spectrum],
    passes: list[Pass],
    untied: bool,
) -> list[dict[str, Any]]:
    """L3 over L2 (M5 over M4), once by each definition that the curve allows."""
    family = edge_named(edge)
    if not family.splits_ev:
        return []
    at, value, sigma = curve
    first = family.edges[0]
    near = (first.low_ev - FAR_EV, first.high_ev + FAR_EV) if untied else first.line_reach
    if not untied:
        near = (near[0] - NEAR_EV, near[1])
    windows = white_lines.pair_windows(at, value, family.splits_ev[0].value, near, SPLIT_SLACK_EV)
    if windows is None:
        return []
    rng = np.random.default_rng(0)
    moved = value + sigma * rng.standard_normal((DRAWS, value.size))
    told = [_raw_maxima(passes, windows)]
    if all(spot.unit == "step" for spot in spots):
        for name, ratio in (
            ("maxima-above-steps", white_lines.ratio_of_maxima_above_two_to_one_step),
            ("areas-above-steps", white_lines.ratio_of_areas_above_two_to_one_step),
        ):
            number, *draws = (_or_nan(ratio, at, one, windows) for one in (value, *moved))
            told.append({"definition": name, "value": number, "sigma": float(np.nanstd(draws, ddof=1))})
    known = (each for each in told if each is not None and math.isfinite(each["value"]))
    return [{**each, "windows": [list(window) for window in windows]} for each in known]


def _or_nan(ratio, at: np.ndarray, value: np.ndarray, windows) -> float:
    try:
        return ratio(at, value, *windows, STEP_FWHM_EV)
    except ValueError:
        return math.nan


def _raw_maxima(passes: list[Pass], windows) -> dict[str, Any] | None:
    """The largest numbers of the file itself, where its ground was taken away before it came; else it would
    be a ratio of grounds."""
    found = []
    for each in passes:
        curve = raw_curve(each)
        known = np.isfinite(curve.value)
        at, value = curve.energy_ev[known], curve.value[known]
        if value.size < 16 or abs(np.median(value[: value.size // 8])) > LEAST_GROUND * np.ptp(value):
            return None
        shift = each.scan.tie.shift_ev if each.scan.tie else 0.0
        try:
            found.append(white_lines.ratio_of_raw_maxima(at + shift, value, *windows))
        except ValueError:
            return None
    if not found:
        return None
    spread = float(np.std(found, ddof=1) / math.sqrt(len(found))) if len(found) > 1 else None
    return {"definition": "raw-maxima", "value": float(np.mean(found)), "sigma": spread}


def _foil(each: Pass, edge: str) -> float | None:
    """Where the foil behind a specimen first rises steeply, eV, by the same scan: what came through the
    specimen is its incoming beam. None without a foil of this element.

    Only the first rise counts: further up the specimen's own edge leaks into it.
    """
    if each.scan.signal != "transmitted" or "reference" not in each.rates:
        return None
    with np.errstate(divide="ignore", invalid="ignore"):
        value = np.log(each.rates["transmitted"] / each.rates["reference"])
    known = np.isfinite(value) & np.isfinite(each.scan.energy_ev)
    order, starts = rising(each.scan.energy_ev[known])
    at, value = (part[known][order[starts]] for part in (each.scan.energy_ev, value))
    first = edge_named(edge).edges[0]
    near = (at > first.low_ev - FOIL_EV - FIRST_RISE_EV[0]) & (at < first.high_ev + FOIL_EV)
    if np.count_nonzero(near) < 8:
        return None
    slope = np.gradient(value, at)[near]
    found = tops(at[near], slope, np.full(slope.size, single_scan_noise(at[near], slope)), most=1)
    if not found:
        return None
    shift_ev = each.scan.tie.shift_ev if each.scan.tie else 0.0
    low, high = found[0].at_ev - FIRST_RISE_EV[0], found[0].at_ev + FIRST_RISE_EV[1]
    return position(at[near], slope, (low, high)) + shift_ev
