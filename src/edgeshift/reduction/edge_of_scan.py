"""Which edge a scan is of: as its file says, as planned, the only one that fits, or the one in its name.

A survey crosses several edges and is of none.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from edgeshift.recipe.experiment import Experiment
from edgeshift.records.scan import Scan
from edgeshift.tables.edges import Candidate, likely_edges

SURVEY_TIMES = 1.4
"""A range that ends at so many times the energy where it began is no scan of one edge (practice)."""
HOLE_STEPS = 10.0
"""A survey has a hole where it steps over so many of its usual steps."""


def with_edge(scan: Scan, experiment: Experiment) -> Scan:
    """The scan with its edge named, or unnamed with a doubt that says why.

    The file's own word stands first. Else the planned edges that lie in range, else every edge of the
    table; the strongest line must not speak against it. Of several that are left one is proposed, with a
    doubt, where the file's name holds it, or where only its first edge lies in range.
    """
    if scan.edge is not None:
        return scan
    if is_survey(scan):
        return _doubted(scan, _survey_words(scan.energy_ev))
    low_ev, high_ev = _range(scan.energy_ev)
    candidates = likely_edges(low_ev, high_ev, _strongest_line(scan))
    planned = {plan.edge for plan in experiment.edges}
    left = _fitting([c for c in candidates if c.family.name in planned]) or _fitting(candidates)
    names = [c.family.name for c in left]
    if len(names) == 1:
        return replace(scan, edge=names[0])
    found = ", ".join(names) if names else "none that fits"
    for why, proposed in (
        ("by its file's name", [name for name in names if _is_named(name, scan.file)]),
        ("by where its range begins", [c.family.name for c in left if _begins_below(c, low_ev)]),
    ):
        if len(proposed) == 1:
            said = f"Its edge is taken as {proposed[0]} {why} ({found} fit): name it under edges."
            return replace(_doubted(scan, said), edge=proposed[0])
    return _doubted(scan, f"Its edge is unclear ({found}): name it under edges.")


def is_survey(scan: Scan) -> bool:
    """Whether the range is too wide for one edge, and the file names none."""
    low_ev, high_ev = _range(scan.energy_ev)
    return scan.edge is None and high_ev > SURVEY_TIMES * low_ev > 0


def _range(energy_ev: np.ndarray) -> tuple[float, float]:
    return float(np.nanmin(energy_ev)), float(np.nanmax(energy_ev))


def _doubted(scan: Scan, words: str) -> Scan:
    return replace(scan, doubts=(*scan.doubts, words))


def _survey_words(energy_ev: np.ndarray) -> str:
    """What a survey covers, and what it leaves out."""
    at = np.sort(energy_ev[np.isfinite(energy_ev)])
    steps = np.diff(at)
    holes = np.flatnonzero(steps > HOLE_STEPS * np.median(steps))
    without = "".join(f", nothing from {at[n]:.0f} to {at[n + 1]:.0f} eV" for n in holes)
    return f"A survey over several edges: {at[0]:.0f} to {at[-1]:.0f} eV{without}."


def _is_named(edge: str, file: str) -> bool:
    """Whether a file's name holds an edge, as glass_SK_01.dat or S-K holds 'S K'."""
    element, _, shell = edge.partition(" ")
    return re.search(rf"(?<![A-Za-z]){element}[ _-]?{shell}(?![A-Za-z])", file) is not None


def _begins_below(each: Candidate, low_ev: float) -> bool:
    """Whether the range begins below the family's first edge: without that it shows no whole edge."""
    return low_ev < each.family.edges[0].low_ev


def _fitting(candidates: list[Candidate] | tuple[Candidate, ...]) -> list[Candidate]:
    """Those that the strongest line does not speak against; all where it speaks against all."""
    return [c for c in candidates if c.fits] or list(candidates)


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
