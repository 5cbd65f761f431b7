"""Did the energy scale slide? A jump or a drift that is common to specimens, standards and edges."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.common_slide import Drift, Jump, Slid, best_jump, grows_with_energy, steady_drift
from edgeshift.numerics.slides import quick_slide
from edgeshift.questions.trust.findings import Finding
from edgeshift.questions.trust.traces import Trace, Traces, specimen_of, spot_of
from edgeshift.records.answer import Ref

LEAST_EV, SURE = 0.06, 5.0
"""Smaller or less sure slides are not told (practice, no source)."""
SAME_SPOT_EV, OTHER_SPOT_EV = 0.01, 0.03
"""No slide is known better than this: specimens differ a little from spot to spot (practice, no source)."""
ENOUGH_SPECIMENS = 3
"""So many specimens of one edge that slide at one moment cannot all be chemistry."""


class _Group(NamedTuple):
    """Scans of one specimen at one edge, against its first: which group, when, how far, how sure."""

    traces: tuple[Trace, ...]
    slides: tuple[Slid, ...]


def energy_scale(traces: Traces) -> Iterator[Finding]:
    """The slide that scans of several specimens or edges have in common."""
    groups = [
        _group(some, number, traces)
        for number, some in enumerate(traces.groups(specimen_of).values())
        if len(some) > 1
    ]
    slides = [slid for group in groups for slid in group.slides]
    jump, drift = best_jump(slides), steady_drift(slides)
    if jump is None or drift is None:
        return
    if drift.chi2 < jump.chi2 and _drifts(drift, groups):
        yield _drift(drift, slides, traces)
    elif abs(jump.slide_ev) > max(LEAST_EV, SURE * jump.sigma_ev) and _common(jump, groups, traces):
        yield _scale(jump, slides, traces)


def _drifts(drift: Drift, groups: list[_Group]) -> bool:
    """Whether a drift is sure, large while one specimen was measured, and seen in enough of them."""
    hours = [np.ptp([slid.when_s for slid in group.slides]) / 3600.0 for group in groups]
    enough = sum(hour > 0 for hour in hours) >= ENOUGH_SPECIMENS
    large = abs(drift.per_h) * max(hours) > LEAST_EV
    return enough and large and abs(drift.per_h) > SURE * drift.sigma_per_h


def _drift(drift: Drift, slides: list[Slid], traces: Traces) -> Finding:
    """A drift lies on every scan alike, so none is noted; it says how far the shift moved in all."""
    hours = np.ptp([slid.when_s for slid in slides]) / 3600.0
    numbers = {"kind": "drift", "slide": drift.per_h, "sigma": drift.sigma_per_h}
    numbers["in_all_ev"] = float(drift.per_h * hours)
    evidence = tuple(Ref("scan", trace.key) for trace in (traces.in_time[0], traces.in_time[-1]))
    amount = drift.per_h, drift.sigma_per_h, "eV an hour"
    return Finding("slide-of-energy", (), numbers, *amount, evidence)


def _group(some: tuple[Trace, ...], number: int, traces: Traces) -> _Group:
    """Slides of one group. Spots differ a little in shape, which the floor of their errors allows for."""
    first = some[0]
    kept, found = [], []
    for trace in some:
        slide, error = (0.0, 0.0) if trace is first else _slide(trace, first, traces)
        floor = SAME_SPOT_EV if spot_of(trace) == spot_of(first) else OTHER_SPOT_EV
        if np.isfinite(slide):
            at, sigma = trace.middle_ev, float(np.hypot(error, floor))
            kept.append(trace)
            found.append(Slid(number, traces.when_s[trace.key], at, slide, sigma))
    return _Group(tuple(kept), tuple(found))


def _slide(trace: Trace, first: Trace, traces: Traces) -> tuple[float, float]:
    key = ("slide", id(trace), id(first))
    found = traces.once(key, lambda: quick_slide(trace.energy_ev, trace.value, first.spline))
    return found.slide_ev, found.error_ev


def _common(jump: Jump, groups: list[_Group], traces: Traces) -> bool:
    """Whether what slid is too much together to be chemistry: two edges, a standard, or three specimens."""
    touched = [group for group in groups if _touched(jump, group)]
    edges = {group.traces[0].scan.edge for group in touched}
    standards = any(traces.kinds.get(specimen_of(group.traces[0]) or "") == "standard" for group in touched)
    return standards or len(edges) > 1 or len(touched) >= ENOUGH_SPECIMENS


def _touched(jump: Jump, group: _Group) -> bool:
    """Whether this group alone shows at least half of the jump, the same way."""
    before = [slid.slide_ev for slid in group.slides if slid.when_s < jump.at_s]
    after = [slid.slide_ev for slid in group.slides if slid.when_s >= jump.at_s]
    return bool(before and after) and (np.mean(after) - np.mean(before)) / jump.slide_ev > 0.5


def _scale(jump: Jump, slides: list[Slid], traces: Traces) -> Finding:
    grows = grows_with_energy(slides, jump)
    since = tuple(t.key for t in traces.in_time if traces.when_s[t.key] >= jump.at_s)
    numbers = {"slide": jump.slide_ev, "sigma": jump.sigma_ev, "propose_ev": -jump.slide_ev}
    numbers["since"] = Ref("scan", since[0]).token()
    if grows is not None:
        numbers |= {"kind": "growing", "at_lowest": grows[0], "at_highest": grows[1]}
    return Finding("slide-of-energy", since, numbers, jump.slide_ev, jump.sigma_ev, "eV")
