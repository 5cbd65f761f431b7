"""Was the beam on the specimen? A lower step than at its other spots, or the bare mount's own curve."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.noise import single_scan_noise
from edgeshift.numerics.slides import quick_slide
from edgeshift.questions.trust.findings import Finding, in_percent
from edgeshift.questions.trust.traces import Trace, Traces, specimen_of, spot_of

LOWER, LOWER_TIMES = 0.28, 4.0
"""A step lower by this share, and by so many times what spots usually differ, is told (practice)."""
MOUNT_SHARE, MOUNT_SIGMAS = 0.08, 6.0
"""The bare mount's curve is told from this share of the height on."""
ALL_MOUNT, CLEAR_STRUCTURE = 0.98, 4.0
"""A scan whose structure, so many times its noise, is this much the bare mount's own shows no specimen."""


def places(traces: Traces) -> Iterator[Finding]:
    """Scans whose step is much lower than at the specimen's other spots, or that hold the mount's curve."""
    found: dict[str, Finding] = {}
    groups = traces.groups(specimen_of)
    for finding in _on_the_mount(groups, traces):
        found.setdefault(finding.scans[0], finding)
    for finding in _lower_steps(groups, traces):
        found.setdefault(finding.scans[0], finding)
    yield from found.values()


def _lower_steps(groups: dict, traces: Traces) -> Iterator[Finding]:
    """Judged spot by spot: how much lower it lies than the highest, beside how other specimens' spots do."""
    heights = {key: _by_spot(some, traces) for key, some in groups.items() if _is_matter(some, traces)}
    spreads = {key: _spread(spots) for key, spots in heights.items() if len(spots) > 1}
    for (edge, signal, name), spread in spreads.items():
        if spread < LOWER:
            continue
        usual = [s for (e, c, n), s in spreads.items() if (e, c) == (edge, signal) and n != name]
        least = max(LOWER, LOWER_TIMES * median(usual) if usual else LOWER)
        spots = heights[edge, signal, name]
        top = max(median(own.values()) for own in spots.values())
        for own in spots.values():
            lower = 1.0 - median(own.values()) / top
            if lower > least:
                for key in own:
                    yield Finding(
                        "off-specimen", (key,), {"percent": 100.0 * lower}, *in_percent(lower, None)
                    )


def _is_matter(some: tuple[Trace, ...], traces: Traces) -> bool:
    """Electron yields of specimens: in a thick or focused fluorescence scan the height says little."""
    return some[0].scan.signal == "electron-yield" and traces.kinds.get(specimen_of(some[0]) or "") != "blank"


def _by_spot(some: tuple[Trace, ...], traces: Traces) -> dict[str, dict[str, float]]:
    """Spot -> scan -> height of its edge over that of the specimen's first scan."""
    first = some[0]
    found: dict[str, dict[str, float]] = {}
    for trace in some:
        if spot_of(trace) is None:
            continue
        key = ("slide", id(trace), id(first))
        gain = (
            1.0
            if trace is first
            else traces.once(key, lambda t=trace: quick_slide(t.energy_ev, t.value, first.spline)).gain
        )
        if np.isfinite(gain) and gain > 0:
            found.setdefault(trace.scan.place.spot, {})[trace.key] = float(gain * trace.scale / first.scale)
    return found


def _spread(spots: dict[str, dict[str, float]]) -> float:
    heights = [median(own.values()) for own in spots.values()]
    return 1.0 - min(heights) / max(heights)


def _on_the_mount(groups: dict, traces: Traces) -> Iterator[Finding]:
    """Scans that need the curve of a bare mount, measured at the same edge, beside their other spots' own."""
    blanks: dict[tuple, list[Trace]] = {}
    for (edge, signal, name), some in groups.items():
        if traces.kinds.get(name) == "blank":
            blanks.setdefault((edge, signal), []).append(some[0])
    for (edge, signal, name), some in groups.items():
        if traces.kinds.get(name) == "blank" or (edge, signal) not in blanks:
            continue
        for trace in some:
            alike = max(_alike(trace, blank, traces) for blank in blanks[edge, signal])
            if alike > ALL_MOUNT:
                numbers = {"percent": 100.0 * alike, "kind": "bare"}
                yield Finding("off-specimen", (trace.key,), numbers, *in_percent(alike, None))
                continue
            other = next((t for t in some if spot_of(t) and spot_of(t) != spot_of(trace)), None)
            shares = [_mount_share(trace, other, blank, traces) for blank in blanks[edge, signal] if other]
            share, sigma = max(shares, default=(0.0, 1.0))
            if share > max(MOUNT_SHARE, MOUNT_SIGMAS * sigma):
                numbers = {"percent": 100.0 * share, "kind": "mount"}
                yield Finding("off-specimen", (trace.key,), numbers, *in_percent(share, sigma))


def _alike(trace: Trace, blank: Trace, traces: Traces) -> float:
    """Share of the scan's structure that is the bare mount's own, a smooth background left aside."""
    return traces.once(("alike", id(trace), id(blank)), lambda: _explained(trace, blank))


def _explained(trace: Trace, blank: Trace) -> float:
    bare = blank.spline.at(trace.energy_ev)
    good = np.isfinite(trace.value) & np.isfinite(bare)
    if np.count_nonzero(good) < 32 or not np.ptp(bare[good]) > 0:
        return 0.0
    at, mine = trace.energy_ev[good], trace.value[good]
    x = 2.0 * (at - at.mean()) / np.ptp(at)
    bends = np.stack([np.ones(x.size), x, x**2])
    plain = mine - least_squares(bends, mine) @ bends
    columns = np.vstack([bends, (bare[good] - bare[good].mean()) / np.ptp(bare[good])])
    weights = least_squares(columns, mine)
    noise = np.hypot(single_scan_noise(at, mine), weights[-1] * single_scan_noise(at, columns[-1]))
    structure = float(np.mean(plain**2)) - noise**2
    if weights[-1] <= 0 or structure < (CLEAR_STRUCTURE * noise) ** 2:
        return 0.0
    rest = max(float(np.mean((mine - weights @ columns) ** 2)) - noise**2, 0.0)
    return 1.0 - rest / structure


def _mount_share(trace: Trace, other: Trace, blank: Trace, traces: Traces) -> tuple[float, float]:
    key = ("mount", id(trace), id(other), id(blank))
    return traces.once(key, lambda: _mixed(trace.value, other.spline.at(trace.energy_ev), blank, trace))


def _mixed(mine: np.ndarray, theirs: np.ndarray, blank: Trace, trace: Trace) -> tuple[float, float]:
    """Share of the mount's structure in the scan's height, with its standard error."""
    bare = blank.spline.at(trace.energy_ev)
    good = np.isfinite(mine) & np.isfinite(theirs) & np.isfinite(bare)
    if np.count_nonzero(good) < 32 or not np.ptp(bare[good]) > 0 or not np.ptp(mine[good]) > 0:
        return 0.0, 1.0
    at = trace.energy_ev[good]
    tilt = (at - at.mean()) / np.ptp(at)
    bare = (bare[good] - bare[good].mean()) / np.ptp(bare[good])
    columns = np.stack([theirs[good] - theirs[good].mean(), np.ones(at.size), tilt, tilt**2, bare])
    weights = least_squares(columns, mine[good])
    rest = mine[good] - weights @ columns
    height = float(np.ptp(mine[good]))
    return float(weights[-1] / height), float(np.std(rest) * unit_errors(columns)[-1] / height)
