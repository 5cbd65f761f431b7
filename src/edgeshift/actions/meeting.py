"""The decision meeting: what is known when minutes are to be chosen for, and what was chosen in the end."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from edgeshift.actions.session import NO_EDGE, Known
from edgeshift.questions.minutes import Asked, scan_minutes
from edgeshift.questions.minutes.costs import Costs
from edgeshift.questions.minutes.offers import OLD_TIE_MIN, EdgeNow
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer
from edgeshift.records.pump_down import minutes_between
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import ShiftState


def meeting(known: Known, compared: Sequence[Answer], trusted: Answer, left: float | None) -> Asked:
    """All that the cards are made of, from the answers to "real" and "trust" and the scans so far."""
    scans = _in_order(known)
    weighed = [a for a in compared if a.edge and a.detail.get("one_more") and a.detail["role"] != "control"]
    return Asked(
        _left(known.state, known.experiment) if left is None else left,
        tuple(_edge_now(a, known.experiment, scans) for a in weighed),
        _costs(known, scans),
        scans[0].edge if scans else None,
        known.experiment.day.write_min,
        _confounded(trusted, weighed),
        _old_tie(known.experiment, scans),
        len(known.state.decisions),
    )


def _in_order(known: Known) -> list[Scan]:
    """Scans of known edges as they arrived."""
    place = {key: number for number, key in enumerate(known.state.arrivals)}
    every = [scan for edge, group in known.scans.items() if edge != NO_EDGE for scan in group]
    return sorted(every, key=lambda scan: place[scan.key])


def _left(state: ShiftState, experiment: Experiment) -> float | None:
    """Minutes from the last thing that happened until the shift's typed end."""
    if experiment.day.ends is None or not state.events:
        return None
    return max(0.0, minutes_between(state.until or state.events[-1].time, experiment.day.ends))


def _costs(known: Known, scans: Sequence[Scan]) -> Costs:
    overheads = known.experiment.beamline.overheads
    lasted = {edge: scan_minutes(group, overheads) for edge, group in known.scans.items() if edge != NO_EDGE}
    last = scans[-1].edge if scans else None
    return Costs(lasted, overheads.move_min, overheads.edge_change_min, last)


def _edge_now(answer: Answer, experiment: Experiment, scans: Iterable[Scan]) -> EdgeNow:
    detail, plan = answer.detail, experiment.plan_for(answer.edge)
    measured = {scan.place.unit for scan in scans if scan.edge == answer.edge}
    return EdgeNow(
        answer.edge, detail, _fresh(experiment, detail, measured), plan.spots_per_unit, plan.scans_per_spot
    )


def _fresh(experiment: Experiment, detail, measured: set[str | None]) -> int:
    """How many units (whole pairs) of both arms are mounted and were not measured at this edge."""
    mounted = {each.unit for each in experiment.specimens if each.kind == "specimen" and each.unit}
    done = {unit.batch for unit in experiment.units if unit.batch and unit.name in measured}
    waiting = [
        unit
        for unit in experiment.units
        if unit.name in mounted and unit.name not in measured and unit.batch not in done
    ]
    arms = (detail["control"], detail["treated"][0])
    if detail["paired"]:
        pairs = [{unit.pair for unit in waiting if unit.arm == arm and unit.pair} for arm in arms]
        return len(pairs[0] & pairs[1])
    return min(len({unit.batch or unit.name for unit in waiting if unit.arm == arm}) for arm in arms)


def _confounded(trusted: Answer, weighed: Sequence[Answer]) -> tuple[tuple[str, int], ...]:
    """Edges at which one arm came all before the other, with how many units they have there."""
    units = {answer.edge: len(answer.detail["dots"]) for answer in weighed}
    named = [
        edge
        for finding in trusted.detail.get("findings", ())
        if finding["code"] == "order-confounded"
        for edge in finding["numbers"]["edges"].split(", ")
    ]
    return tuple((edge, units[edge]) for edge in dict.fromkeys(named) if edge in units)


def _old_tie(experiment: Experiment, scans: Sequence[Scan]) -> tuple[str, float] | None:
    """(edge, minutes ago) of the last scan of a standard, where that is long ago by the files' own times."""
    standards = {each.name for each in experiment.specimens if each.kind == "standard"}
    tied = [scan for scan in scans if scan.place.specimen in standards and scan.started]
    if not tied or not scans[-1].started:
        return None
    ago = minutes_between(tied[-1].started, scans[-1].started)
    return (tied[-1].edge, ago) if ago > OLD_TIE_MIN else None
