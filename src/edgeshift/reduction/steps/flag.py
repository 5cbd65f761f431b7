"""Flag single points that do not belong. Nothing is deleted: a flagged point stays in the record."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from edgeshift.numerics.outliers import against, alone, loudest, onto
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE, UNUSABLE
from edgeshift.records.scan import Channel, Scan
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.raw_curve import RawCurve, by_specimen, raw_curve

NAME = "flag"
AFTER = "rates"

ON_THE_TOP, ELSEWHERE, AFTER_INJECTION = 0.5, 0.75, 0.5
"""Shares of the recipe's `spike_sigmas` that suffice when other scans of the specimen are there.

A blip on the tallest points does the most harm, so most of the allowance for being wrong is spent
there; the shares come from benchmarks/trust_rates.py (false alarms below 5 % of scans).
"""
TOP_SHARE, TOP_MOST = 0.05, 12
"""The tallest points of a curve: this share of all, and no more than so many: each may be wrong by chance."""
UNDISTURBED = 3.0
"""A point that lies this close to the other scans, in standard deviations, is never a blip."""
APART, ROUNDS = 3, 4
"""Of blips within this many points the loudest is taken first; the rest are judged again without it."""
LONG_TOP = 3
"""So many equal highest readings in a row are a ceiling."""


def run(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """Passes of one edge with their flags: missing, clipped, beam dropped, fresh electrons, blips.

    Blips are sought against the specimen's other scans, and by curvature alone where there are none.
    """
    passes = tuple(replace(each, flags=each.flags | _by_itself(each, recipe)) for each in passes)
    for _ in range(ROUNDS):
        others = by_specimen(passes)
        curves = {each.scan.key: raw_curve(each) for each in passes}
        found = [_blips(each, curves, others[each.scan.key], recipe) for each in passes]
        passes = tuple(
            replace(each, flags=each.flags | bits) for each, bits in zip(passes, found, strict=True)
        )
        if not any(bits.any() for bits in found):
            break
    return passes


def sentence(passes: tuple[Pass, ...], recipe: Recipe) -> str:
    """One methods sentence, with the count of points that the average leaves out."""
    points = sum(each.flags.size for each in passes)
    left_out = sum(int(np.count_nonzero(each.flags & UNUSABLE)) for each in passes)
    compared = any(by_specimen(passes).values())
    way = "the specimen's other scans and its own curvature" if compared else "its own curvature"
    return (
        f"Each point was judged against {way}, its detector's ceiling and the beam; "
        f"{left_out} of {points} points were flagged and left out."
    )


def _by_itself(each: Pass, recipe: Recipe) -> np.ndarray:
    """Flags that one scan shows without any curve: (points,) bits."""
    scan = each.scan
    bits = np.zeros(scan.energy_ev.size, dtype=np.int64)
    for role in {scan.signal, "i0"} & set(scan.channels):
        readings = scan.channels[role].raw
        bits[~np.isfinite(readings).all(axis=0)] |= BY_CODE["missing"].bit
        bits[_at_ceiling(scan.channels[role])] |= BY_CODE["clipped"].bit
    bits[~np.isfinite(scan.energy_ev)] |= BY_CODE["missing"].bit
    if "i0" in each.rates and scan.signal != "absorption":
        bits[beam_dropped(each.rates["i0"], recipe.flag.i0_floor)] |= BY_CODE["i0-collapse"].bit
    return bits


def beam_dropped(i0: np.ndarray, floor: float) -> np.ndarray:
    """Where I0 lies below `floor` of its own median (points,); a dip of a third is ordinary and stays."""
    usual = np.nanmedian(i0) if np.isfinite(i0).any() else 0.0
    return np.nan_to_num(i0, nan=usual) < floor * usual if usual > 0 else np.isfinite(i0) & (i0 <= 0)


def _at_ceiling(channel: Channel) -> np.ndarray:
    """Where any element of the channel is at its ceiling (points,)."""
    if channel.ceiling is not None:
        return (np.abs(channel.raw) >= abs(channel.ceiling) * (1.0 - 1e-9)).any(axis=0)
    return np.any([flat_top(channel.sign * element) for element in channel.raw], axis=0)


def flat_top(reading: np.ndarray) -> np.ndarray:
    """The longest run of equal highest readings, where it is too long for chance (points,).

    Coarse rounding also makes equal neighbours, so the curve must leave the run on either side in steps
    that are large beside the smallest step there is.
    """
    top = np.zeros(reading.shape, dtype=bool)
    steps = np.abs(np.diff(reading))
    if not np.isfinite(reading).any() or not (steps > 0).any():
        return top
    highest = np.flatnonzero(reading == np.nanmax(reading))
    runs = np.split(highest, np.flatnonzero(np.diff(highest) > 1) + 1)
    run = max(runs, key=len)
    if len(run) < LONG_TOP:
        return top
    sides = [steps[place] for place in (run[0] - 1, run[-1]) if 0 <= place < steps.size]
    top[run] = min(sides) > 5.0 * float(np.min(steps[steps > 0]))
    return top


def after_injection(scan: Scan, window_s: float) -> np.ndarray:
    """Points that fresh electrons may have touched (points,); none where the file keeps no clock."""
    touched = np.zeros(scan.energy_ev.shape, dtype=bool)
    if scan.clock_s is None:
        return touched
    for moment_s in scan.injections_s:
        since = scan.clock_s - moment_s
        touched |= (since >= -scan.dwell_s) & (since <= window_s)
    return touched


def _blips(each: Pass, curves: dict[str, RawCurve], others: list[Pass], recipe: Recipe) -> np.ndarray:
    """New spike and injection bits of one scan (points,), the loudest of each neighbourhood only."""
    curve = curves[each.scan.key]
    bits = np.zeros(each.flags.shape, dtype=np.int64)
    if np.isfinite(curve.value).sum() < 2:
        return bits
    touched = after_injection(each.scan, recipe.flag.injection_window_s)[curve.rows]
    ratio = _loudness(curve, [curves[other.scan.key] for other in others], touched, recipe.flag.spike_sigmas)
    hit = loudest(ratio, np.ones(ratio.shape), APART)
    bits[curve.rows[hit & touched]] = BY_CODE["injection"].bit
    bits[curve.rows[hit & ~touched]] = BY_CODE["spike"].bit
    return bits


def _loudness(curve: RawCurve, others: list[RawCurve], touched: np.ndarray, sigmas: float) -> np.ndarray:
    """How far each point stands out, over how far it may (points,)."""
    needed = np.where(touched, AFTER_INJECTION, 1.0) * sigmas
    if not others:
        return np.abs(alone(curve.energy_ev, curve.value).score) / needed
    rows = np.array([onto(curve.energy_ev, other.energy_ev, other.value) for other in others])
    compared = against(curve.energy_ev, curve.value, rows).score
    top = _tallest(curve.value)
    allowed = np.where(touched, AFTER_INJECTION, np.where(top, ON_THE_TOP, ELSEWHERE)) * sigmas
    compared_size = np.abs(np.nan_to_num(compared))
    heard = np.isnan(compared) & np.isfinite(curve.value) | (compared_size > UNDISTURBED)
    if not heard.any():
        return compared_size / allowed
    own = np.abs(alone(curve.energy_ev, curve.value).score)
    return np.fmax(compared_size / allowed, np.where(heard, own, 0.0) / needed)


def _tallest(value: np.ndarray) -> np.ndarray:
    """The tallest points (points,), each by the middle one of itself and its neighbours: no blip counts."""
    three = np.lib.stride_tricks.sliding_window_view(np.pad(value, 1, mode="edge"), 3)
    height = np.nan_to_num(np.median(three, axis=1), nan=-np.inf)
    count = max(3, min(int(TOP_SHARE * height.size), TOP_MOST))
    return height >= np.sort(height)[-count:][0]
