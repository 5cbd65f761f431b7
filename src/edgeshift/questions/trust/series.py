"""Repeats of one spot that change: charging, damage or a slide."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from edgeshift.numerics.sag import TIMES, Both, Sag, sag_of
from edgeshift.numerics.series_change import Along, Change, share_of_change
from edgeshift.questions.trust.findings import Finding, in_percent
from edgeshift.questions.trust.flat_series import burnt_before, change_of, levels, odd_one
from edgeshift.questions.trust.traces import Trace, Traces, specimen_of, spot_of
from edgeshift.reduction.edge_of_scan import is_survey
from edgeshift.wording.numbers import count

SAG_SHARE, SAG_SIGMAS, SAG_LOWERS, SAG_LOWERS_TOGETHER = 0.05, 6.0, 0.15, 0.05
"""A loss of yield that fluorescence does not share is told from here on: so large, so sure, and lowering the
scatter by so much, in one scan or on average over repeats (practice, no source)."""
SAG_VAGUE, SAG_MOST = 0.08, 0.8
"""A loss that is known no better than this, or that leaves nothing of the yield, is none."""
SAG_SOONEST = min(TIMES)
"""A loss that is over as soon as any that was tried may be sooner still: the foot of a background."""
ECHOES, SILENT = 0.5, 0.3
"""Fluorescence shares a change of shape where it shows at least half of it, and does not below a third."""
LIGHT_SHARE, LIGHT_SCANS = 0.08, 3
"""Thickness and dead time bend fluorescence and transmission a little, as a dose may; without electrons only
larger changes over so many scans are told (practice, no source)."""
LEAST_SLIDE_EV = 0.06
"""Smaller slides of one spot are not told (practice, no source)."""
RETURNS = 0.4
"""A fresh spot is as the first scan was where it lies no farther than this along the change."""
IN_ORDER = 0.7
"""A dose acts in order: the scans must lie along the change in the order in which they came."""


def series(traces: Traces) -> Iterator[Finding]:
    """Findings of every spot that was scanned more than once, and of every single sag."""
    sagging = {trace.key: sag for trace, sag in _sags(traces)}
    for key, sag in sagging.items():
        numbers = {"percent": 100.0 * sag.share, "sigma": 100.0 * sag.sigma}
        yield Finding("charging", (key,), numbers, *in_percent(sag.share, sag.sigma))
    for repeats in traces.groups(spot_of).values():
        if len(repeats) > 1 and not any(trace.key in sagging for trace in repeats):
            yield from _of_spot(repeats, traces)
    yield from burnt_before(traces, frozenset(sagging))
    yield from levels(traces)


def _sags(traces: Traces) -> Iterator[tuple[Trace, Sag]]:
    """Scans that sag, each by itself, or as sure as that together with its repeats on the spot."""
    found = {trace: sag for trace in traces.in_time if (sag := _sag(trace, traces))}
    for repeats in traces.groups(lambda trace: spot_of(trace) or trace.key).values():
        sags = [found[trace] for trace in repeats if trace in found]
        together = _pooled(sags) if len(sags) > 1 else None
        for trace in repeats:
            if trace in found and _is_sure(found[trace], SAG_LOWERS):
                yield trace, found[trace]
            elif trace in found and together and _joins(found[trace], together):
                yield trace, together


def _sag(trace: Trace, traces: Traces) -> Sag | None:
    """Over a survey the yield itself changes with energy as a loss would, so none is sought there."""
    if trace.scan.signal != "electron-yield" or trace.light is None or is_survey(trace.scan):
        return None
    both = trace.energy_ev, trace.along, trace.value, trace.light, trace.i0
    return traces.once(("sag", id(trace)), lambda: sag_of(Both(*both)))


def _pooled(sags: list[Sag]) -> Sag:
    """One sag from those of repeats, weighted by how sure each is."""
    weights = [1.0 / max(sag.sigma, 1e-9) ** 2 for sag in sags]
    share, time, lowers = (
        sum(w * getattr(sag, name) for w, sag in zip(weights, sags, strict=True)) / sum(weights)
        for name in ("share", "time", "lowers")
    )
    return Sag(share, sum(weights) ** -0.5, time, lowers)


def _joins(sag: Sag, together: Sag) -> bool:
    """Whether a scan that is not sure alone shows enough to stand with its repeats."""
    return sag.share > SAG_SIGMAS / 2.0 * sag.sigma and _is_sure(together, SAG_LOWERS_TOGETHER)


def _is_sure(sag: Sag, lowers: float) -> bool:
    """Whether a loss is one: where time and energy run alike, a background can look like any loss at all."""
    if sag.sigma > SAG_VAGUE or sag.share > SAG_MOST or sag.time <= SAG_SOONEST:
        return False
    return sag.share > max(SAG_SHARE, SAG_SIGMAS * sag.sigma) and sag.lowers > lowers


def _of_spot(repeats: tuple[Trace, ...], traces: Traces) -> Iterator[Finding]:
    found = change_of(repeats, traces.once)
    if found is None or found.kind == "none":
        return
    if found.kind == "slide":
        yield from _slid_alone(found, repeats)
        return
    code = _cause(found, repeats)
    if code == "charging":
        numbers = {"percent": 100.0 * found.size, "sigma": 100.0 * found.sigma}
        yield Finding("charging", (repeats[-1].key,), numbers, *in_percent(found.size, found.sigma))
    elif code == "damage":
        in_order = _in_order(found, repeats)
        yield from _damage(found, repeats, traces) if in_order else odd_one(repeats, traces)


def _damage(found: Change, repeats: tuple[Trace, ...], traces: Traces) -> Iterator[Finding]:
    """A change in the order of the dose, unless a fresh spot shows it too."""
    fresh = _fresh_spot(found, repeats, traces)
    if np.isfinite(fresh.share) and fresh.share - 2.0 * fresh.sigma > RETURNS:
        return
    percent, sigma = 100.0 * found.size, 100.0 * found.sigma
    numbers = {"percent": percent, "sigma": sigma, "count": count(len(repeats)).capitalize()}
    if np.isfinite(fresh.share) and fresh.share < RETURNS:
        numbers |= {"kind": "returned", "fresh": fresh.share}
    later = tuple(trace.key for trace in repeats[1:])
    yield Finding("damage", later, numbers, *in_percent(found.size, found.sigma))


def _slid_alone(found: Change, repeats: tuple[Trace, ...]) -> Iterator[Finding]:
    """One spot that slid against its own first scan: one edge alone may be chemistry."""
    if abs(found.slide_ev) > LEAST_SLIDE_EV:
        sigma = found.sigma / found.size * abs(found.slide_ev)
        numbers = {"slide": found.slide_ev, "sigma": sigma}
        yield Finding("slide-alone", (repeats[-1].key,), numbers, found.slide_ev, sigma, "eV")


def _cause(found: Change, repeats: tuple[Trace, ...]) -> str:
    """charging or damage: fluorescence decides where it was recorded and is clear enough."""
    electrons = repeats[0].scan.signal == "electron-yield"
    if not electrons:
        clear = found.kind == "shape" and found.size > LIGHT_SHARE and len(repeats) >= LIGHT_SCANS
        return "damage" if clear else ""
    echo = _echo(found, repeats)
    if np.isfinite(echo.share) and echo.sigma < 0.15:
        if echo.share < SILENT:
            return "charging"
        if echo.share > ECHOES:
            return "damage"
    return "charging" if found.kind == "sag" else "damage"


def _echo(found: Change, repeats: tuple[Trace, ...]) -> Along:
    """How much of the change the fluorescence of the same scans shows."""
    if any(trace.light is None for trace in repeats):
        return Along(float("nan"), float("nan"))
    first, last = repeats[0], repeats[-1]
    return share_of_change(found, first.energy_ev, first.light, last.light_spline.at(first.energy_ev))


def _in_order(found: Change, repeats: tuple[Trace, ...]) -> bool:
    if len(repeats) < 3:
        return True
    first = repeats[0]
    shares = [0.0] + [
        share_of_change(found, first.energy_ev, first.value, trace.spline.at(first.energy_ev)).share
        for trace in repeats[1:]
    ]
    if not np.isfinite(shares).all() or np.std(shares) == 0:
        return False
    return float(np.corrcoef(shares, np.arange(len(shares)))[0, 1]) > IN_ORDER


def _fresh_spot(found: Change, repeats: tuple[Trace, ...], traces: Traces) -> Along:
    """Where the specimen's other spot lies along the change; NaN where there is none."""
    first = repeats[0]
    edge = next(edge for edge, some in traces.by_edge.items() if first in some)
    others = [
        trace
        for trace in traces.by_edge[edge]
        if specimen_of(trace) == specimen_of(first)
        and spot_of(trace) not in (None, spot_of(first))
        and trace.scan.signal == first.scan.signal
    ]
    nearest = [
        share_of_change(found, first.energy_ev, first.value, trace.spline.at(first.energy_ev))
        for trace in others
    ]
    known = [each for each in nearest if np.isfinite(each.share)]
    return min(known, key=lambda each: abs(each.share), default=Along(float("nan"), float("nan")))
