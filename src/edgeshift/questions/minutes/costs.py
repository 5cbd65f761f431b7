"""What things cost in minutes, with the overheads that the host typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from edgeshift.recipe.beamline import Overheads
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import moment


class Costs(NamedTuple):
    """Minutes of one scan at each edge, of a move, of a change of edge; `edge` is where the beamline is."""

    scan: Mapping[str, float]
    move: float
    change: float
    edge: str | None

    def reach(self, edge: str) -> float:
        """Minutes until the first scan at this edge can begin."""
        return 0.0 if edge == self.edge else self.change

    def visits(self, edge: str, visits: int, scans_each: float) -> float:
        """Going to so many spots at one edge, with so many scans on each."""
        return self.reach(edge) + visits * (self.move + scans_each * self.scan[edge])


def scan_minutes(scans: Iterable[Scan], overheads: Overheads) -> float | None:
    """The middle of how long scans took: by their clock, their times, else their dwell and settling."""
    lasted = [_minutes(scan, overheads) for scan in scans]
    return float(np.median(lasted)) if lasted else None


def _minutes(scan: Scan, overheads: Overheads) -> float:
    if scan.clock_s is not None and np.isfinite(scan.clock_s).all() and np.ptp(scan.clock_s) > 0:
        return float(np.ptp(scan.clock_s) + scan.dwell_s[-1]) / 60
    if scan.started and scan.ended:
        return (moment(scan.ended) - moment(scan.started)).total_seconds() / 60
    return float(np.sum(scan.dwell_s) + overheads.settle_s * scan.energy_ev.size) / 60
