"""Light of a higher order: lines of another edge that come again at a half or a third of their energy."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from edgeshift.numerics.completeness import landmarks
from edgeshift.numerics.echo import Echo, echo_of
from edgeshift.questions.trust.findings import Finding
from edgeshift.questions.trust.traces import Trace, Traces, specimen_of
from edgeshift.tables.edges import edges_between, split_ev

ORDERS = (2, 3)
LEAST_SHARE, SURE, EXPLAINS = 0.004, 6.0, 0.5
"""An echo of this share of the level, so sure, and that explains half of what is not smooth, is told."""
OWN_LINE_EV = 6.0
"""An echo that lies farther than this from the scan's own edge is a bump of its own."""


def orders(traces: Traces) -> Iterator[Finding]:
    """Bumps and bent baselines that repeat an edge which was measured elsewhere in this shift."""
    sources = {edge: some for edge, some in traces.by_edge.items() if some and _is_real(edge)}
    for edge, some in traces.by_edge.items():
        for source, theirs in sources.items():
            for order in ORDERS if source != edge else ():
                if _meets(some[0] if some else None, theirs[0], order):
                    yield from _echoes(edge, some, source, theirs, order, traces)


def _is_real(edge: str) -> bool:
    return edge.partition(" ")[2] in ("K", "L", "M", "L3", "L2", "M5", "M4")


def _meets(one: Trace | None, source: Trace, order: int) -> bool:
    """Whether the source's range falls into this one's, order for order."""
    if one is None or not one.energy_ev.size or not source.energy_ev.size:
        return False
    return source.energy_ev[0] / order < one.energy_ev[-1] and source.energy_ev[-1] / order > one.energy_ev[0]


def _echoes(
    edge: str, some: tuple[Trace, ...], source: str, theirs: tuple[Trace, ...], order: int, traces: Traces
) -> Iterator[Finding]:  # fmt: skip
    for trace in some:
        own = next((t for t in theirs if specimen_of(t) == specimen_of(trace)), theirs[0])
        key = ("echo", id(trace), id(own), order)
        found = traces.once(key, lambda t=trace, o=own: _echo(t, o, order))
        if found is None or found.share < max(LEAST_SHARE, SURE * found.sigma) or found.explains < EXPLAINS:
            continue
        numbers = {"at": found.top_ev, "edge": source, "order": order, "percent": 100.0 * found.share}
        if _has_own_edge(trace, found):
            yield Finding(
                "baseline-of-another-order", (trace.key,), numbers, found.share, found.sigma, "share"
            )
        elif not _has_partner(trace, found):
            yield Finding("ghost-line", (trace.key,), numbers, found.share, found.sigma, "share")


def _echo(trace: Trace, source: Trace, order: int) -> Echo | None:
    """The echo beyond the scan's own lines: where it has an edge of its own, above its last line."""
    value = np.where(_own_lines(trace), np.nan, trace.value)
    return echo_of(trace.energy_ev, value, source.energy_ev, source.value, order)


def _own_edge(trace: Trace) -> tuple[float, float] | None:
    """(first line, width that its lines take) of the scan's own edge; None where it shows no strong one."""
    good = np.isfinite(trace.value)
    if trace.scan.edge is None or np.count_nonzero(good) < 24:
        return None
    at, value = trace.energy_ev[good], trace.value[good]
    found = landmarks(at, value)
    strong = np.ptp(value) > 0.1 * float(np.median(np.abs(value)))
    return (found.top_ev, split_ev(trace.scan.edge)) if np.isfinite(found.top_ev) and strong else None


def _own_lines(trace: Trace) -> np.ndarray:
    own = _own_edge(trace)
    if own is None:
        return np.zeros(trace.energy_ev.size, dtype=bool)
    top, split = own
    return (trace.energy_ev > top - OWN_LINE_EV) & (trace.energy_ev < top + split + OWN_LINE_EV / 2.0)


def _has_own_edge(trace: Trace, found: Echo) -> bool:
    own = _own_edge(trace)
    return own is not None and abs(found.top_ev - own[0]) > OWN_LINE_EV / 2.0


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
