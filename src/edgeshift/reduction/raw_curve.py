"""A scan's curve before anything is decided: signal over I0 on rising energies, bad points left out."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.grids import rising
from edgeshift.records.flags import UNUSABLE
from edgeshift.records.spectrum import Pass


class RawCurve(NamedTuple):
    """`value` (points,) on strictly rising `energy_ev`; NaN where a point is flagged as unusable.

    `rows` (points,) says at which row of the scan each point stands.
    """

    energy_ev: np.ndarray
    value: np.ndarray
    rows: np.ndarray


def raw_ratio(each: Pass) -> np.ndarray:
    """Signal over I0 in the order of time (points,); a logarithm for a transmitted beam; NaN where none."""
    signal = each.rates[each.scan.signal]
    if each.scan.signal == "absorption" or "i0" not in each.rates:
        return np.where(np.isfinite(signal), signal, np.nan)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = signal / each.rates["i0"]
        if each.scan.signal == "transmitted":
            ratio = -np.log(ratio)
    return np.where(np.isfinite(ratio), ratio, np.nan)


def raw_curve(each: Pass) -> RawCurve:
    """The curve of one pass. Of several rows at one energy the first usable one stands for all."""
    value = np.where(each.flags & UNUSABLE, np.nan, raw_ratio(each))
    known = np.flatnonzero(np.isfinite(each.scan.energy_ev))
    known = known[np.argsort(np.isnan(value[known]), kind="stable")]
    order, starts = rising(each.scan.energy_ev[known])
    rows = known[order[starts]]
    return RawCurve(each.scan.energy_ev[rows], value[rows], rows)


def by_specimen(passes: tuple[Pass, ...]) -> dict[str, list[Pass]]:
    """For each scan key the other scans of the same specimen and detector; copies of one file are one.

    A scan whose specimen nobody named has no others.
    """
    return {
        each.scan.key: [
            other
            for other in passes
            if other is not each
            and each.scan.place.specimen is not None
            and other.scan.place.specimen == each.scan.place.specimen
            and other.scan.signal == each.scan.signal
            and other.scan.sha256 != each.scan.sha256
        ]
        for each in passes
    }
