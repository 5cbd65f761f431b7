"""Single points that stand out, scan by scan: spikes, and points that fresh electrons disturbed."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.local_lines import Spline, spline
from edgeshift.numerics.outliers import against, alone, alone_at, loudest
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE
from edgeshift.records.scan import Scan
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.edge_of_scan import is_survey
from edgeshift.reduction.raw_curve import RawCurve, by_specimen, raw_curve

ON_THE_TOP, ELSEWHERE, AFTER_INJECTION = 0.5, 0.75, 0.5
"""Shares of the recipe's `spike_sigmas` that suffice when other scans of the specimen are there.

A blip on the tallest points does the most harm, so most of the allowance for being wrong is spent
there; the shares come from benchmarks/trust_rates.py (false alarms below 5 % of scans).
"""
TOP_SHARE, TOP_MOST = 0.05, 12
"""The tallest points of a curve: this share of all, and no more than so many: each may be wrong by chance."""
UNDISTURBED = 3.0
"""A point that lies this close to the other scans, in standard deviations, is never a blip; where fresh
electrons came in, the share for such points is enough."""
APART, ROUNDS = 3, 4
"""Of blips within this many points the loudest is taken first; the rest are judged again without it."""


class Looked(NamedTuple):
    """All that is looked at, by scan key: each curve, its spline once another scan asks for it, which of its
    points an injection may have touched, the keys of its specimen's other scans, and those scans on its own
    energies, by both keys."""

    curves: dict[str, RawCurve]
    splines: dict[str, Spline]
    touched: dict[str, np.ndarray]
    others: dict[str, list[str]]
    rows: dict[tuple[str, str], np.ndarray]

    def shape(self, key: str) -> tuple[int, int]:
        """Points of a scan and number of its others: scans alike in both are judged in one go."""
        return self.curves[key].value.size, len(self.others[key])


def blips(passes: tuple[Pass, ...], recipe: Recipe) -> dict[str, np.ndarray]:
    """Spike and injection bits (points,) by scan key, for passes of one edge with their other flags.

    Blips are sought against the specimen's other scans, and by curvature alone where there are none. The
    loudest of each neighbourhood is taken; then those scans that it was part of are judged again. In a
    survey a line is as narrow as a blip, so none is sought there.
    """
    found = {each.scan.key: np.zeros(each.flags.shape, dtype=np.int64) for each in passes}
    passes = tuple(each for each in passes if not is_survey(each.scan))
    known = {each.scan.key: each for each in passes}
    window_s = recipe.flag.injection_window_s
    looked = Looked(
        {key: raw_curve(each) for key, each in known.items()},
        {},
        {key: after_injection(each.scan, window_s) for key, each in known.items()},
        {key: [other.scan.key for other in same] for key, same in by_specimen(passes).items()},
        {},
    )
    asked = list(known)
    for _ in range(ROUNDS):
        changed = _round(asked, looked, found, recipe.flag.spike_sigmas)
        for key in changed:
            looked.curves[key] = raw_curve(replace(known[key], flags=known[key].flags | found[key]))
            looked.splines.pop(key, None)
            for mine in looked.others[key]:
                del looked.rows[mine, key]
        asked = [key for key in known if key in changed or not changed.isdisjoint(looked.others[key])]
    return found


def after_injection(scan: Scan, window_s: float) -> np.ndarray:
    """Points that fresh electrons may have touched (points,); none where the file keeps no clock."""
    touched = np.zeros(scan.energy_ev.shape, dtype=bool)
    if scan.clock_s is None:
        return touched
    for moment_s in scan.injections_s:
        since = scan.clock_s - moment_s
        touched |= (since >= -scan.dwell_s) & (since <= window_s)
    return touched


def _round(asked: list[str], looked: Looked, found: dict[str, np.ndarray], sigmas: float) -> set[str]:
    """Add the bits that this round finds to `found`, and tell which scans got some."""
    changed = set()
    for _, group in groupby(sorted(asked, key=looked.shape), key=looked.shape):
        keys = list(group)
        rows = [looked.curves[key].rows for key in keys]
        touched = np.array([looked.touched[key][row] for key, row in zip(keys, rows, strict=True)])
        ratio = _loudness(keys, looked, touched, sigmas)
        hit = loudest(ratio, np.ones(ratio.shape), APART)
        bits = np.where(touched, BY_CODE["injection"].bit, BY_CODE["spike"].bit) * hit
        for number in np.flatnonzero(hit.any(axis=-1)):
            found[keys[number]][rows[number]] |= bits[number]
            changed.add(keys[number])
    return changed


def _loudness(keys: list[str], looked: Looked, touched: np.ndarray, sigmas: float) -> np.ndarray:
    """How far each point stands out, over how far it may (scans, points); all scans of one shape."""
    energy, value = (np.array([looked.curves[key][part] for key in keys]) for part in (0, 1))
    needed = np.where(touched, AFTER_INJECTION, 1.0) * sigmas
    if not looked.others[keys[0]]:
        return np.abs(alone(energy, value).score) / needed
    beside = against(energy, value, _rows(keys, looked))
    compared = np.abs(beside.score)
    allowed = np.where(touched, AFTER_INJECTION, np.where(_tallest(value), ON_THE_TOP, ELSEWHERE)) * sigmas
    undisturbed = np.where(touched, AFTER_INJECTION, 1.0) * UNDISTURBED
    heard = np.isnan(compared) & np.isfinite(value) | (compared > undisturbed)
    loud = compared / allowed
    for told in (True, False):
        some = heard.any(axis=-1) & (np.isfinite(beside.sigma).all(axis=-1) == told)
        if some.any():
            here = energy[some], value[some]
            own = alone_at(*here, beside.sigma[some], heard[some]) if told else alone(*here)
            loud[some] = np.fmax(loud[some], np.where(heard[some], np.abs(own.score) / needed[some], 0.0))
    return loud


def _rows(keys: list[str], looked: Looked) -> np.ndarray:
    """The other scans on the energies of each scan (scans, others, points), NaN where they do not reach."""
    pairs = [[(key, other) for other in looked.others[key]] for key in keys]
    for key, other in (pair for row in pairs for pair in row if pair not in looked.rows):
        if other not in looked.splines:
            theirs = looked.curves[other]
            looked.splines[other] = spline(theirs.energy_ev, theirs.value)
        looked.rows[key, other] = looked.splines[other].at(looked.curves[key].energy_ev)
    return np.array([[looked.rows[pair] for pair in row] for row in pairs])


def _tallest(value: np.ndarray) -> np.ndarray:
    """The tallest points (..., points), each by the middle of itself and its neighbours: no blip counts."""
    before, after = (
        np.concatenate(sides, axis=-1)
        for sides in ((value[..., :1], value[..., :-1]), (value[..., 1:], value[..., -1:]))
    )
    height = np.maximum(np.minimum(before, value), np.minimum(np.maximum(before, value), after))
    height = np.where(np.isfinite(height), height, -np.inf)
    size = value.shape[-1]
    count = min(max(3, min(int(TOP_SHARE * size), TOP_MOST)), size)
    return height >= np.sort(height, axis=-1)[..., size - count, None]
