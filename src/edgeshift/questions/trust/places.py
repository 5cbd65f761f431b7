"""Was the beam on the specimen? A lower step than at its other spots, or the bare mount's own curve."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.likeness import structure_share
from edgeshift.numerics.slides import quick_slide
from edgeshift.questions.trust.findings import Finding, in_percent
from edgeshift.questions.trust.traces import Trace, Traces, specimen_of, spot_of
from edgeshift.tables.edges import edges_between, split_ev

LOWER, LOWER_TIMES = 0.28, 4.0
"""A step lower by this share, and by so many times what spots usually differ, is told (practice)."""
MOUNT_SHARE, MOUNT_SIGMAS = 0.08, 6.0
"""The bare mount's curve is told from this share of the height on."""
ALL_MOUNT = 0.95
"""A scan whose structure is this much the bare mount's own shows no specimen."""
LINES_FROM_EV, LINES_TO_EV, MOST_LEFT_ASIDE = 1.5, 6.0, 0.5
"""Lines of another element stand from so far below its first tabulated edge to so far above its second; they
may take this share of the points (common practice, no source)."""


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
    """Share of the scan's structure that is the bare mount's own.

    A smooth background and what a dirty mesh leaves of I0 are left aside, and the lines and the step of one
    other element with edges in the range: a specimen's potassium does not make its carbon its own.
    """

    def best() -> float:
        nothing = np.zeros(trace.energy_ev.size, dtype=bool)
        return max(_explained(trace, blank, aside) for aside in (nothing, *_others_lines(trace)))

    return traces.once(("alike", id(trace), id(blank)), best)


def _explained(trace: Trace, blank: Trace, aside: np.ndarray) -> float:
    """The share on the points that are not left aside; 0 where too few are, or no structure is clear."""
    bare = blank.spline.at(trace.energy_ev)
    good = np.isfinite(trace.value) & np.isfinite(bare) & ~aside
    if np.count_nonzero(good) < 32 or not np.ptp(bare[good]) > 0:
        return 0.0
    beyond = (np.cumsum(aside)[good] > 0).astype(float)
    step = [beyond] if np.ptp(beyond) > 0 else []
    beside = np.array([*step, *_mesh_marks(trace, good)]).reshape(-1, np.count_nonzero(good))
    return structure_share(trace.energy_ev[good], trace.value[good], bare[good], beside)


def _mesh_marks(trace: Trace, good: np.ndarray) -> list[np.ndarray]:
    """I0 and its inverse at the good points: whatever a mesh's own lines leave after division."""
    i0 = None if trace.i0 is None else trace.i0[good]
    if i0 is None or not np.isfinite(i0).all() or not i0.min() > 0 or not trace.has_beam:
        return []
    return [i0 / i0.mean() - 1.0, i0.mean() / i0 - 1.0]


def _others_lines(trace: Trace) -> list[np.ndarray]:
    """For each other element whose pair of edges begins in the range: the points (points,) in its lines."""
    at, own = trace.energy_ev, (trace.scan.edge or "").partition(" ")[0]
    found = []
    for each in edges_between(float(at[0]), float(at[-1])) if at.size else ():
        if each.element != own and each.shell in ("L3", "M5"):
            to_ev = each.low_ev + split_ev(f"{each.element} {each.shell[0]}") + LINES_TO_EV
            found.append((at > each.low_ev - LINES_FROM_EV) & (at < to_ev))
    return [lines for lines in found if 0 < np.mean(lines) < MOST_LEFT_ASIDE]


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
