"""Scans that nobody divided by I0: the beam's own structure stands in them as if it were the specimen's."""

from __future__ import annotations

from collections.abc import Iterator

from edgeshift.numerics.likeness import coherence
from edgeshift.questions.trust.findings import Finding
from edgeshift.questions.trust.traces import Trace, Traces

LEAST, SURE = 0.3, 3.5
"""Coherence with a beam that was recorded (practice, no source)."""


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


def _coherent(trace: Trace):
    return coherence(trace.energy_ev, trace.value * trace.i0, trace.i0)
