"""Spots that do not change: a series with its limit, and one whose change was over before it began."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from edgeshift.numerics.series_change import Change, change_over
from edgeshift.numerics.trends import per_step
from edgeshift.questions.trust.findings import Finding, in_percent
from edgeshift.questions.trust.traces import Trace, Traces, specimen_of, spot_of
from edgeshift.records.answer import Ref
from edgeshift.records.once import Once
from edgeshift.wording.numbers import GIVE_OR_TAKE, count

LONG_SERIES, SHORT_POINTS = 5, 16
"""So many repeats are a series worth a limit where each scan is too short for anything else."""
LAST_NUMBER = re.compile(r"[ _.-]*\d+(\.\w+)?\Z")
"""The number at the end of a file's name, with its ending."""
LEAST_FLAT = 3
"""So many scans of one spot that agree are a flat series."""
BURNT_SHARE, BURNT_TIMES, BURNT_ALONE = 0.04, 3.0, 0.12
"""A flat series is doubted where a fresh spot differs by this share of its height and so many times more than
spots of other specimens do; without others to compare, by the last share (practice)."""
BURNT_ELSEWHERE = 0.08
"""Where only other edges tell how spots differ, a fresh spot must differ by this share (practice)."""


def change_of(repeats: tuple[Trace, ...], once: Once) -> Change | None:
    """How repeats in order change, on the first one's energies."""
    return once(("change", tuple(map(id, repeats))), lambda: _changed(repeats))


def _changed(repeats: tuple[Trace, ...]) -> Change | None:
    first, *later = repeats
    rows = np.array([first.value, *(trace.spline.at(first.energy_ev) for trace in later)])
    return change_over(first.energy_ev, rows, first.along, first.scan.signal != "electron-yield")


def odd_one(repeats: tuple[Trace, ...], traces: Traces) -> Iterator[Finding]:
    """All scans of a spot agree but one, as where the beam was wider for once: which is the change?"""
    for odd in repeats if len(repeats) > LEAST_FLAT else ():
        rest = tuple(trace for trace in repeats if trace is not odd)
        still, apart = change_of(rest, traces.once), _apart(rest[-1], odd, traces)
        if still is not None and still.kind == "none" and apart > BURNT_ALONE:
            yield _burnt(rest, odd, apart)
            return


def _burnt(flat: tuple[Trace, ...], odd: Trace, size: float) -> Finding:
    keys = tuple(trace.key for trace in flat)
    numbers = {"count": count(len(flat)).capitalize(), "percent": 100.0 * size}
    evidence = tuple(Ref("scan", key) for key in (*keys, odd.key))
    return Finding("burnt-before", keys, numbers, *in_percent(size, None), evidence)


def burnt_before(traces: Traces, sagging: frozenset[str]) -> Iterator[Finding]:
    """A series without any change beside which a fresh spot, or a wider beam, looks different."""
    by_specimen = traces.groups(specimen_of)
    for (edge, signal, _name), some in by_specimen.items():
        spots: dict[object, list[Trace]] = {}
        for trace in some:
            spots.setdefault(trace.scan.place.spot, []).append(trace)
        flat = max(spots.values(), key=len)
        if len(flat) < LEAST_FLAT or len(spots) < 2 or any(trace.key in sagging for trace in some):
            continue
        still = change_of(tuple(flat), traces.once)
        if still is None or still.kind != "none":
            continue
        fresh = [trace for trace in some if trace.scan.place.spot != flat[0].scan.place.spot]
        apart = [(_apart(flat[-1], trace, traces), trace) for trace in fresh]
        size, odd = max(apart, key=lambda pair: pair[0])
        usual = _usual_apart(by_specimen, (edge, signal), flat[0], traces)
        least = _least_apart(usual, _usual_elsewhere(by_specimen, (edge, signal), traces))
        if size > least:
            yield _burnt(tuple(flat), odd, size)


def _apart(one: Trace, other: Trace, traces: Traces) -> float:
    """By how much two spots differ in shape, as a share of the height; 0 where they do not."""
    found = change_of((one, other), traces.once)
    return found.whole if found is not None and found.kind in ("shape", "sag") else 0.0


def _usual_apart(groups: dict, where: tuple, mine: Trace, traces: Traces) -> float | None:
    """The usual difference between two spots of the other specimens here; None with fewer than two."""
    here = [
        some for (*place, name), some in groups.items() if tuple(place) == where and name != specimen_of(mine)
    ]
    return _usual_of(here, traces)


def _usual_elsewhere(groups: dict, where: tuple, traces: Traces) -> float | None:
    """The usual difference between two spots of one specimen at the other edges; None with fewer than two."""
    edge, signal = where
    return _usual_of([some for (e, s, _), some in groups.items() if e != edge and s == signal], traces)


def _usual_of(groups: list[tuple[Trace, ...]], traces: Traces) -> float | None:
    sizes = []
    for some in groups:
        other = next((t for t in some if spot_of(t) not in (None, spot_of(some[0]))), None)
        if other is not None and spot_of(some[0]) is not None:
            found = change_of((some[0], other), traces.once)
            sizes += [found.whole] if found is not None else []
    return float(np.median(sizes)) if len(sizes) > 1 else None


def _least_apart(usual: float | None, elsewhere: float | None) -> float:
    """From which difference on a fresh spot speaks: by spots at this edge, at others, or by itself."""
    if usual is not None:
        return max(BURNT_SHARE, BURNT_TIMES * usual)
    return BURNT_ALONE if elsewhere is None else max(BURNT_ELSEWHERE, BURNT_TIMES * elsewhere)


def levels(traces: Traces) -> Iterator[Finding]:
    """The limit on any drift of the level that a long series of short scans still allows."""
    for some in traces.groups(_one_place).values():
        short = max(trace.value.size for trace in some) < SHORT_POINTS
        if len(some) < LONG_SERIES or not short or not _of_one_range(some):
            continue
        levels = traces.once(("levels", tuple(map(id, some))), lambda some=some: _above_half(some))
        if not np.isfinite(levels).all() or not np.mean(levels) > 0:
            continue
        found = per_step(levels, 0.05)
        percent, sigma = 100.0 * found.per_step, 100.0 * found.give_or_take / GIVE_OR_TAKE
        numbers = {"count": count(len(some)).capitalize(), "percent": percent, "sigma": sigma}
        numbers |= {"limit": 100.0 * found.largest}
        numbers |= {} if specimen_of(some[0]) else {"kind": "unplaced"}
        code = "series-steady" if abs(found.per_step) <= found.give_or_take else "series-moving"
        noted = tuple(trace.key for trace in some) if code == "series-moving" else ()
        evidence = tuple(Ref("scan", trace.key) for trace in some)
        amount = percent, sigma, "% a scan"
        yield Finding(code, noted, numbers, *amount, evidence)


def _one_place(trace: Trace) -> tuple[str | None, str | None]:
    """Specimen and spot; a spot that nobody named counts as one. Where nobody named the specimen either,
    files that differ in their last number only may be of one."""
    if specimen_of(trace):
        return specimen_of(trace), trace.scan.place.spot
    return None, LAST_NUMBER.sub("", trace.scan.file)


def _of_one_range(some: tuple[Trace, ...]) -> bool:
    """Whether all begin and end where the first does, to half a step."""
    ends = np.array([trace.energy_ev[[0, -1]] for trace in some])
    step = float(np.median(np.diff(some[0].energy_ev)))
    return bool(np.all(np.abs(ends - ends[0]) < step / 2.0))


def _above_half(some: tuple[Trace, ...]) -> np.ndarray:
    """Mean level of each scan (scans,) where the first one stands above its half height, in its unit."""
    first = some[0]
    half = (np.nanmin(first.value) + np.nanmax(first.value)) / 2.0
    at = first.energy_ev[first.value > half]
    return np.array([np.mean(np.interp(at, t.energy_ev, t.value)) * (t.scale / first.scale) for t in some])
