"""Flag single points that do not belong. Nothing is deleted: a flagged point stays in the record."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE, UNUSABLE
from edgeshift.records.scan import Channel
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.blips import blips
from edgeshift.reduction.raw_curve import by_specimen

NAME = "flag"
AFTER = "rates"

LONG_TOP = 3
"""So many equal highest readings in a row are a ceiling."""
NEAR = 1.2
"""Energies within this factor of one another get like beams (common practice, no source)."""
GONE = 0.01
"""Below this share of the median of a wide scan nothing is left of a beam (practice, no source)."""


def run(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """Passes of one edge with their flags: missing, clipped, beam dropped, fresh electrons, blips.

    Blips are sought against the specimen's other scans, and by curvature alone where there are none.
    """
    passes = tuple(replace(each, flags=each.flags | _by_itself(each, recipe)) for each in passes)
    found = blips(passes, recipe)
    return tuple(replace(each, flags=each.flags | found[each.scan.key]) for each in passes)


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
        bits[beam_dropped(scan.energy_ev, each.rates["i0"], recipe.flag.i0_floor)] |= BY_CODE[
            "i0-collapse"
        ].bit
    return bits


def beam_dropped(energy_ev: np.ndarray, i0: np.ndarray, floor: float) -> np.ndarray:
    """Where I0 lies below `floor` of its own usual level (points,); a dip of a third is ordinary and stays.

    Usual is the median; over a wide range, where every beam varies, that of the energies near each point.
    """
    whole = np.nanmedian(i0) if np.isfinite(i0).any() else 0.0
    if not whole > 0:
        return np.isfinite(i0) & (i0 <= 0)
    i0 = np.nan_to_num(i0, nan=np.inf)
    if not _is_wide(energy_ev):
        return i0 < floor * whole
    return (i0 < floor * _median_near(energy_ev, i0)) | (i0 < GONE * whole)


def _is_wide(energy_ev: np.ndarray) -> bool:
    there = energy_ev[np.isfinite(energy_ev)]
    return there.size > 0 and there.min() > 0 and there.max() > NEAR**2 * there.min()


def _median_near(energy_ev: np.ndarray, i0: np.ndarray) -> np.ndarray:
    """Median I0 of the energies within a factor NEAR of each point (points,); NaN where the energy is."""
    order = np.argsort(energy_ev, kind="stable")
    at, beam = energy_ev[order], i0[order]
    firsts, lasts = np.searchsorted(at, at / NEAR), np.searchsorted(at, at * NEAR, side="right")
    near = np.array([_median(beam[first:last]) for first, last in zip(firsts, lasts, strict=True)])
    usual = np.empty(at.size)
    usual[order] = near
    return usual


def _median(beam: np.ndarray) -> float:
    there = beam[np.isfinite(beam)]
    return float(np.median(there)) if there.size else float("nan")


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
