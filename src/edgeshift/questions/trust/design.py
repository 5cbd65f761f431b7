"""What the order of the day and the experiment text do to the comparison, whatever the curves say."""

from __future__ import annotations

from collections.abc import Iterator

from edgeshift.questions.trust.findings import Finding
from edgeshift.questions.trust.traces import Trace, Traces
from edgeshift.records.answer import Ref
from edgeshift.wording.numbers import count

ONE_BEFORE_OTHER = 0.95
"""Share of pairs of scans in which the same arm came first: from here on order and treatment are one."""


def design(traces: Traces) -> Iterator[Finding]:
    """Order confounded with treatment, and units that shared one treatment."""
    yield from _order(traces)
    yield from _shared(traces)


def _order(traces: Traces) -> Iterator[Finding]:
    """At each edge: the control, and each treatment with at least two units measured, in time."""
    control = traces.experiment.control
    told: dict[tuple[str, str], list[str]] = {}
    for edge, some in traces.by_edge.items():
        arms: dict[str, list[Trace]] = {}
        for trace in some:
            if trace.scan.place.arm:
                arms.setdefault(trace.scan.place.arm, []).append(trace)
        mine = arms.pop(control.name, []) if control else []
        for arm, theirs in arms.items():
            if min(_units(mine), _units(theirs)) < 2:
                continue
            first = _share_first(mine, theirs, traces)
            if first >= ONE_BEFORE_OTHER:
                told.setdefault((control.name, arm), []).append(edge)
            elif first <= 1.0 - ONE_BEFORE_OTHER:
                told.setdefault((arm, control.name), []).append(edge)
    for (first, second), edges in told.items():
        numbers = {"first": f"{{arm:{first}}}", "second": f"{{arm:{second}}}", "edges": ", ".join(edges)}
        evidence = (Ref("arm", first), Ref("arm", second), *(Ref("edge", edge) for edge in edges))
        yield Finding("order-confounded", (), numbers, evidence=evidence)


def _units(some: list[Trace]) -> int:
    return len({trace.scan.place.unit for trace in some if trace.scan.place.unit})


def _share_first(mine: list[Trace], theirs: list[Trace], traces: Traces) -> float:
    when = traces.when_s
    before = sum(when[a.key] < when[b.key] for a in mine for b in theirs)
    return before / (len(mine) * len(theirs))


def _shared(traces: Traces) -> Iterator[Finding]:
    batches: dict[tuple[str, str], list[str]] = {}
    for unit in traces.experiment.units:
        if unit.batch:
            batches.setdefault((unit.arm, unit.batch), []).append(unit.name)
    for (arm, _batch), units in batches.items():
        if len(units) > 1:
            evidence = tuple(Ref("unit", name) for name in units)
            numbers = {"count": count(len(units)).capitalize(), "arm": f"{{arm:{arm}}}"}
            yield Finding("one-batch", (), numbers, evidence=evidence)
