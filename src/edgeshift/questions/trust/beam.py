"""What the detectors did to many scans alike: no I0 to divide by, or a counter that was too busy."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from edgeshift.numerics.likeness import coherence, left_marks
from edgeshift.questions.trust.findings import Finding, in_percent
from edgeshift.questions.trust.traces import Trace, Traces
from edgeshift.records.answer import Ref
from edgeshift.reduction.steps.rates import dead_share

LEAST, SURE = 0.3, 3.5
"""Coherence with a beam that was recorded (practice, no source)."""
THIRD, HALF, SURE_LEFT, MOST_OTHERS = 0.33, 0.5, 5.0, 5
"""A monitor that shows less than a third of the beam's structure, while so surely half of it is left in the
curve, is told; more other scans would not tell the beam's structure better (practice, no source)."""


def undivided(traces: Traces) -> Iterator[Finding]:
    """Scans without a live I0 in a shift where others have one, and scans whose recipe leaves theirs unused
    although its structure is in them."""
    recorded = any(trace.has_beam for trace in traces.in_time)
    unused = {edge for edge in traces.by_edge if traces.experiment.recipe_for(edge).divide.i0 == "none"}
    for trace in traces.in_time:
        if trace.scan.signal == "absorption":
            continue
        if not trace.has_beam:
            if recorded:
                yield Finding("fingerprint-left", (trace.key,), {"kind": "missing"})
        elif trace.scan.edge in unused:
            found = traces.once(("undivided", id(trace)), lambda t=trace: _coherent(t))
            if found and found.correlation > LEAST and found.sigmas > SURE:
                numbers = {"percent": 100.0 * found.correlation**2}
                yield Finding("fingerprint-left", (trace.key,), numbers)


def unmarked_monitors(traces: Traces) -> Iterator[Finding]:
    """Scans whose own I0 lacks the structure of the other scans' I0 at this edge, while their curve has it:
    the monitor stood where the beam had not got its marks yet."""
    unused = {edge for edge in traces.by_edge if traces.experiment.recipe_for(edge).divide.i0 == "none"}
    for edge, some in traces.by_edge.items():
        divided = [trace for trace in some if trace.has_beam and trace.scan.signal != "absorption"]
        if len(divided) < 2 or edge in unused:
            continue
        for trace in divided:
            others = tuple(other for other in divided if other is not trace)[:MOST_OTHERS]
            key = ("unmarked", id(trace), tuple(map(id, others)))
            found = traces.once(
                key, lambda t=trace, o=others: left_marks(_curves(t), [_curves(x) for x in o])
            )
            left = found is not None and found.in_curve > max(HALF, SURE_LEFT * found.sigma)
            if left and found.in_monitor < THIRD:
                yield Finding("fingerprint-left", (trace.key,), {"kind": "unmarked"})


def _curves(trace: Trace) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return trace.energy_ev, trace.value, trace.i0


def busy_counters(traces: Traces) -> Iterator[Finding]:
    """Counters beside the signal that missed much of the light: told once, and noted on no scan."""
    shares: dict[str, tuple[float, str]] = {}
    for trace in traces.in_time:
        limit = traces.experiment.recipe_for(trace.scan.edge).rates.note_dead_time
        for role, share in traces.once(("busy", id(trace)), lambda t=trace: _dead_shares(t)).items():
            if share > max(limit, shares.get(role, (0.0, ""))[0]):
                shares[role] = share, trace.key
    for role, (share, key) in shares.items():
        numbers = {"detector": role, "percent": 100.0 * share}
        yield Finding("dead-time-beside", (), numbers, *in_percent(share, None), (Ref("scan", key),))


def _dead_shares(trace: Trace) -> dict[str, float]:
    """Role -> largest share that its counter missed, for the detectors beside the signal."""
    found = {}
    for role, channel in trace.scan.channels.items():
        share = None if role == trace.scan.signal else dead_share(channel, trace.scan.dwell_s)
        if share is not None and np.isfinite(share).any():
            found[role] = float(np.nanmax(share))
    return found


def _coherent(trace: Trace):
    return coherence(trace.energy_ev, trace.value * trace.i0, trace.i0)
