"""Which edge a scan is of: as its file says, as the experiment planned, or the only one that fits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from edgeshift.recipe.experiment import Experiment
from edgeshift.records.scan import Scan
from edgeshift.tables.edges import Candidate, likely_edges


def with_edge(scan: Scan, experiment: Experiment) -> Scan:
    """The scan with its edge named, or unnamed with a doubt that says why.

    The file's own word stands first. Else the planned edges that lie in range, else every edge of the
    table; the strongest line must not speak against it, and only one may be left.
    """
    if scan.edge is not None:
        return scan
    candidates = likely_edges(float(scan.energy_ev.min()), float(scan.energy_ev.max()), _strongest_line(scan))
    planned = {plan.edge for plan in experiment.edges}
    names = _names([c for c in candidates if c.family.name in planned]) or _names(candidates)
    if len(names) == 1:
        return replace(scan, edge=names[0])
    found = ", ".join(names) if names else "none that fits"
    return replace(scan, doubts=(*scan.doubts, f"Its edge is unclear ({found}): name it under edges."))


def _names(candidates: list[Candidate] | tuple[Candidate, ...]) -> list[str]:
    """Names of those that the strongest line does not speak against; of all where it speaks against all."""
    fitting = [c.family.name for c in candidates if c.fits]
    return fitting or [c.family.name for c in candidates]


def _strongest_line(scan: Scan) -> float | None:
    """Energy of the largest signal over I0, with the slope from end to end taken away."""
    signal = scan.channels[scan.signal].raw.sum(axis=0) * scan.channels[scan.signal].sign
    if "i0" in scan.channels and scan.signal != "absorption":
        beam = scan.channels["i0"].raw.sum(axis=0) * scan.channels["i0"].sign
        with np.errstate(divide="ignore", invalid="ignore"):
            signal = np.where(beam != 0, signal / beam, np.nan)
    if scan.signal == "transmitted":
        signal = -signal
    there = np.isfinite(signal)
    if there.sum() < 5:
        return None
    energy, signal = scan.energy_ev[there], signal[there]
    tilt = np.interp(energy, [energy.min(), energy.max()], [signal[energy.argmin()], signal[energy.argmax()]])
    return float(energy[int(np.argmax(signal - tilt))])
