"""How many different things the scans of an edge hold, at least."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from edgeshift.numerics.grids import bridged, common_grid
from edgeshift.numerics.variety import LEAST_CURVES, at_least
from edgeshift.records.answer import Fact, Ref
from edgeshift.records.spectrum import Spectrum
from edgeshift.wording import mixtures as words


def variety(scans: Sequence[Spectrum]) -> tuple[Fact, ...]:
    """One fact, or none where too few scans were reduced on their own."""
    if len(scans) < LEAST_CURVES:
        return ()
    grid = common_grid([each.energy_ev for each in scans])
    curves, noise = (
        np.array([np.interp(grid, s.energy_ev, bridged(s.energy_ev, getattr(s, part))) for s in scans])
        for part in ("value", "sigma")
    )
    if not (np.isfinite(curves).all() and np.isfinite(noise).all()):
        return ()
    evidence = tuple(Ref("scan", each.key) for each in scans)
    count = at_least(grid, curves, noise)
    return (Fact("variety", words.variety(len(scans)), float(count), None, None, evidence),)
