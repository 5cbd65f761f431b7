"""How many different things the spots of an edge hold, at least."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from edgeshift.numerics.grids import bridged, common_grid
from edgeshift.numerics.variety import LEAST_CURVES, at_least
from edgeshift.records.answer import Fact, Ref
from edgeshift.records.spectrum import Spectrum
from edgeshift.wording import mixtures as words


def variety(spots: Sequence[Spectrum], distorted: float) -> tuple[Fact, ...]:
    """One fact, or none where there are too few spots; `distorted` as in `at_least`."""
    if len(spots) < LEAST_CURVES:
        return ()
    grid = common_grid([each.energy_ev for each in spots])
    curves, noise = (
        np.array([np.interp(grid, s.energy_ev, bridged(s.energy_ev, getattr(s, part))) for s in spots])
        for part in ("value", "sigma")
    )
    if not (np.isfinite(curves).all() and np.isfinite(noise).all()):
        return ()
    evidence = tuple(Ref("scan", key) for each in spots for key in each.scans)
    count = at_least(grid, curves, noise, distorted)
    return (Fact("variety", words.variety(len(spots)), float(count), None, None, evidence),)
