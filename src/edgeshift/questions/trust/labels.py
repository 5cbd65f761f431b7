"""Two labels that may have changed places: said as a question, and no label is ever changed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np

from edgeshift.numerics.least_squares import least_squares
from edgeshift.numerics.local_lines import slopes
from edgeshift.numerics.two_labels import one_exchange
from edgeshift.questions.trust.findings import Finding
from edgeshift.questions.trust.traces import Trace, Traces, specimen_of
from edgeshift.records.answer import Ref

LEAST_POINTS = 16


def labels(traces: Traces) -> Iterator[Finding]:
    """One finding for each pair of arms in which two specimens look exchanged."""
    shapes = {edge: _shapes(some, traces) for edge, some in traces.by_edge.items()}
    arm = {specimen_of(t): t.scan.place.arm for t in traces.in_time if t.scan.place.arm}
    for one, other in combinations(dict.fromkeys(arm.values()), 2):
        members = [name for name, its in arm.items() if its in (one, other)]
        kept = [(e, rows) for e, shape in shapes.items() if (rows := _rows(members, shape)) is not None]
        found = one_exchange([rows for _, rows in kept], np.array([arm[name] == other for name in members]))
        if found is None:
            continue
        names = members[found.first], members[found.second]
        scans = tuple(t.key for t in traces.in_time if specimen_of(t) in names)
        said = ", ".join(kept[number][0] for number in found.edges)
        evidence = tuple(Ref("specimen", name) for name in names)
        yield Finding("labels-swapped", scans, {"edges": said}, evidence=evidence)


def _rows(members: list[str], shape: dict[str, np.ndarray]) -> np.ndarray | None:
    """Shapes (members, points) on the points that all have that were measured here, NaN for the others; None
    where those are few. One that was looked at elsewhere only must not hide the others."""
    measured = [name for name in members if name in shape]
    if not measured:
        return None
    common = np.isfinite([shape[name] for name in measured]).all(axis=0)
    if np.count_nonzero(common) < LEAST_POINTS:
        return None
    nothing = np.full(common.size, np.nan)
    return np.array([shape.get(name, nothing)[common] for name in members])


def _shapes(some: tuple[Trace, ...], traces: Traces) -> dict[str, np.ndarray]:
    """Specimen -> what its mean curve keeps on common energies after gain, offset, slope and slide."""
    by_specimen: dict[str, list[Trace]] = {}
    for trace in some:
        if trace.scan.place.arm and trace.scan.signal == some[0].scan.signal:
            by_specimen.setdefault(specimen_of(trace), []).append(trace)
    if len(by_specimen) < 2:
        return {}
    key = ("shapes", tuple(id(trace) for group in by_specimen.values() for trace in group))
    return traces.once(key, lambda: _left_over(by_specimen))


def _left_over(by_specimen: dict[str, list[Trace]]) -> dict[str, np.ndarray]:
    at = next(iter(by_specimen.values()))[0].energy_ev
    rows = {}
    for name, group in by_specimen.items():
        values = [_of_height_one(trace.spline.at(at)) for trace in group]
        rows[name] = np.mean(values, axis=0)
    level = np.mean(list(rows.values()), axis=0)
    good = np.isfinite(level)
    if np.count_nonzero(good) < 32:
        return {}
    x, mean = at[good], level[good]
    columns = np.stack([mean - mean.mean(), np.ones(x.size), x - x.mean(), slopes(x, mean)])
    left = {}
    for name, row in rows.items():
        weights = least_squares(columns, row[good])
        rest = np.full(at.size, np.nan)
        rest[good] = (row[good] - weights @ columns) / (weights[0] or 1.0)
        left[name] = _smoothed(rest)
    return left


def _of_height_one(value: np.ndarray) -> np.ndarray:
    finite = value[np.isfinite(value)]
    height = float(np.ptp(finite)) if finite.size else 0.0
    return (value - finite.min()) / height if height > 0 else np.full(value.shape, np.nan)


def _smoothed(rest: np.ndarray) -> np.ndarray:
    """Means of three neighbours."""
    count = rest.size // 3
    return rest[: 3 * count].reshape(count, 3).mean(axis=1)
