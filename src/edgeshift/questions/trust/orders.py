"""Light of a higher order: lines of another edge that come again at a half or a third of their energy."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from edgeshift.numerics.completeness import landmarks
from edgeshift.numerics.echo import Echo, echo_of
from edgeshift.questions.trust.findings import Finding, in_percent
from edgeshift.questions.trust.traces import Trace, Traces, specimen_of
from edgeshift.tables.edges import edges_between, split_ev

ORDERS = (2, 3)
LEAST_SHARE, SURE_BUMP, SURE_BENT, EXPLAINS = 0.004, 5.0, 4.5, 0.6
"""An echo of this share of the level, so sure as a bump of its own or under a baseline, and that explains so
much of what is not smooth, is told (practice, no source)."""
OWN_LINE_EV, CLEAR_SHARE = 6.0, 0.004
"""The scan's own lines begin so far below the first and end this share of the energy above the last."""


def orders(traces: Traces) -> Iterator[Finding]:
    """Bumps and bent baselines that repeat an edge which was measured elsewhere in this shift."""
    sources = {edge: some for edge, some in traces.by_edge.items() if some and _is_real(edge)}
    for edge, some in traces.by_edge.items():
        for source, theirs in sources.items():
            for order in ORDERS if source != edge else ():
                if _meets(some[0] if some else None, theirs[0], order):
                    yield from _echoes(some, theirs, order, traces)


def _is_real(edge: str) -> bool:
    return edge.partition(" ")[2] in ("K", "L", "M", "L3", "L2", "M5", "M4")


def _meets(one: Trace | None, source: Trace, order: int) -> bool:
    """Whether the source's range falls into this one's, order for order."""
    if one is None or not one.energy_ev.size or not source.energy_ev.size:
        return False
    return source.energy_ev[0] / order < one.energy_ev[-1] and source.energy_ev[-1] / order > one.energy_ev[0]


def _echoes(
    some: tuple[Trace, ...], theirs: tuple[Trace, ...], order: int, traces: Traces
) -> Iterator[Finding]:
    """Echoes of one edge's scans in another's, the specimen's own scan first."""
    for trace in some:
        own = next((t for t in theirs if specimen_of(t) == specimen_of(trace)), theirs[0])
        key = ("echo", id(trace), id(own), order)
        found = traces.once(key, lambda t=trace, o=own: _echo(t, o, order))
        if found is None or found.share < LEAST_SHARE or found.explains < EXPLAINS:
            continue
        numbers = {"at": found.top_ev, "edge": own.scan.edge, "order": order, "percent": 100.0 * found.share}
        amount = in_percent(found.share, found.sigma)
        if _own_edge(trace) is not None:
            if found.share > SURE_BENT * found.sigma:
                yield Finding("baseline-of-another-order", (trace.key,), numbers, *amount)
        elif found.share > SURE_BUMP * found.sigma and not _has_partner(trace, found):
            yield Finding("ghost-line", (trace.key,), numbers, *amount)


def _echo(trace: Trace, source: Trace, order: int) -> Echo | None:
    """The echo, where the scan has lines of its own beyond them."""
    own = _own_edge(trace)
    value, tail_ev = trace.value, float("nan")
    if own is not None:
        first, tail_ev = own
        mine = trace.energy_ev
        value = np.where(
            (mine > first - OWN_LINE_EV) & (mine < tail_ev + CLEAR_SHARE * tail_ev), np.nan, value
        )
    return echo_of((trace.energy_ev, value), (source.energy_ev, source.value), order, tail_ev)


def _own_edge(trace: Trace) -> tuple[float, float] | None:
    """(first, last) line of the scan's own edge, eV; None where it shows no strong one."""
    good = np.isfinite(trace.value)
    if trace.scan.edge is None or np.count_nonzero(good) < 24:
        return None
    at, value = trace.energy_ev[good], trace.value[good]
    found = landmarks(at, value)
    strong = np.ptp(value) > 0.1 * float(np.median(np.abs(value)))
    if not np.isfinite(found.top_ev) or not strong:
        return None
    return found.top_ev, found.top_ev + split_ev(trace.scan.edge)


def _has_partner(trace: Trace, found: Echo) -> bool:
    """Whether an element's line here has its partner where the table puts it: then it may be real."""
    near = [
        each for each in edges_between(found.top_ev - 12.0, found.top_ev + 4.0) if each.shell in ("L3", "M5")
    ]
    good = np.isfinite(trace.value)
    at, value = trace.energy_ev[good], trace.value[good]
    for each in near:
        split = split_ev(f"{each.element} {each.shell[0]}")
        partner = found.top_ev + split
        if split > 0 and at[0] + 1.0 < partner < at[-1] - 1.0 and _bump(at, value, partner) > 5.0:
            return True
    return False


def _bump(at: np.ndarray, value: np.ndarray, place: float) -> float:
    """How far the mean of the points around a place stands above its surroundings, in standard errors."""
    inside, beside = np.abs(at - place) < 1.0, (np.abs(at - place) >= 2.0) & (np.abs(at - place) < 4.5)
    if np.count_nonzero(inside) < 2 or np.count_nonzero(beside) < 4:
        return 0.0
    spread = float(np.std(value[beside] - np.polyval(np.polyfit(at[beside], value[beside], 1), at[beside])))
    line = np.polyval(np.polyfit(at[beside], value[beside], 1), at[inside])
    error = max(spread, 1e-300) * np.hypot(np.count_nonzero(inside) ** -0.5, np.count_nonzero(beside) ** -0.5)
    return float(np.mean(value[inside] - line) / error)
