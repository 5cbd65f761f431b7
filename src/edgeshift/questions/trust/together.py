"""Everything that only several scans together can show, in the order in which it is told."""

from __future__ import annotations

from edgeshift.questions.trust.beam import busy_counters, undivided, unmarked_monitors
from edgeshift.questions.trust.design import design
from edgeshift.questions.trust.energy_scale import energy_scale
from edgeshift.questions.trust.findings import Finding
from edgeshift.questions.trust.labels import labels
from edgeshift.questions.trust.orders import orders
from edgeshift.questions.trust.places import places
from edgeshift.questions.trust.series import series
from edgeshift.questions.trust.traces import Traces

LOOKS = (energy_scale, series, places, labels, orders, busy_counters, design)
BEAM_LOOKS = (undivided, unmarked_monitors)


def findings(traces: Traces, beams: Traces | None = None) -> tuple[Finding, ...]:
    """All findings of a shift; `beams` are the scans whose division is looked at, where they are others.

    Where the energy scale slid, no single spot slid alone.
    """
    found = tuple(finding for look in LOOKS for finding in look(traces))
    found += tuple(finding for look in BEAM_LOOKS for finding in look(beams or traces))
    slid = any(finding.code == "slide-of-energy" for finding in found)
    return tuple(finding for finding in found if not (slid and finding.code == "slide-alone"))
