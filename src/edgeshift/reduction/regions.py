"""Scans that an instrument wrote as several files, one region after the other, put together aloud."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from edgeshift.errors import FileRefused
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.scan import Scan
from edgeshift.reduction.edge_of_scan import with_edge
from edgeshift.reduction.steps.columns import join_regions

NEAR_STEPS = 5.0
"""A region goes on where it starts this near to the end before it (common practice, no source)."""


def regions_joined(scans: Sequence[Scan], experiment: Experiment) -> list[Scan]:
    """The scans in their order, those that continue the one before joined into one.

    A file goes on where it was measured next on the same known spot, in the same direction, and starts where
    the file before it ended. Files of two different planned edges are never joined.
    """
    chains: list[list[Scan]] = []
    for scan in scans:
        if (
            chains
            and _goes_on(chains[-1][-1], scan)
            and not _two_planned_edges(chains[-1][-1], scan, experiment)
        ):
            chains[-1].append(scan)
        else:
            chains.append([scan])
    return [scan for chain in chains for scan in _together(chain)]


def _goes_on(before: Scan, after: Scan) -> bool:
    place = before.place
    if place.specimen is None or place.spot is None or after.place != place:
        return False
    if before.direction != after.direction or before.direction == "mixed" or before.edge != after.edge:
        return False
    sign = -1.0 if before.direction == "down" else 1.0
    step = max(float(np.median(np.abs(np.diff(scan.energy_ev)))) for scan in (before, after))
    return abs(sign * float(after.energy_ev[0] - before.energy_ev[-1])) <= NEAR_STEPS * step


def _two_planned_edges(before: Scan, after: Scan, experiment: Experiment) -> bool:
    planned = {plan.edge for plan in experiment.edges}
    first, second = (with_edge(scan, experiment).edge for scan in (before, after))
    return first != second and {first, second} <= planned


def _together(chain: list[Scan]) -> list[Scan]:
    """One joined scan; regions whose detectors do not match stay scans of their own."""
    if len(chain) == 1:
        return chain
    try:
        return [join_regions(chain)]
    except FileRefused:
        return chain
