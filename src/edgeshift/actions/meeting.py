"""The decision meeting: what is known when minutes are to be chosen for, and what was chosen in the end."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from edgeshift.actions.clock import minutes_left
from edgeshift.actions.session import NO_EDGE, Known
from edgeshift.errors import QuestionRefused
from edgeshift.planning.scan_lists import scan_list
from edgeshift.questions.minutes import Asked, Open, scan_minutes
from edgeshift.questions.minutes.costs import Costs
from edgeshift.questions.minutes.offers import OLD_TIE_MIN, EdgeNow
from edgeshift.recipe.experiment import Experiment, ScanWish
from edgeshift.records.answer import Answer
from edgeshift.records.pump_down import minutes_between
from edgeshift.records.scan import Scan

SETTLED_BY_A_SCAN = ("blank-unmeasured", "like-the-blank", "partner-unscanned", "fits")
"""Suspects that one more scan could clear."""


def meeting(
    known: Known, compared: Sequence[Answer], trusted: Answer, named: Answer, left: float | None
) -> Asked:
    """All that the cards are made of, from the answers to "real", "trust" and "here" and the scans so far."""
    scans, standing = _in_order(known), _open(named)
    planned = [each.edge for each in known.experiment.edges]
    unscanned = tuple(edge for edge in planned if not known.scans.get(edge))
    weighed = [a for a in compared if a.edge and a.detail.get("one_more") and a.detail["role"] != "control"]
    return Asked(
        minutes_left(known) if left is None else left,
        tuple(_edge_now(a, known.experiment, scans) for a in weighed),
        _costs(known, scans, (*unscanned, *(each.edge for each in standing))),
        scans[0].edge if scans else None,
        known.experiment.day.write_min,
        _confounded(trusted, weighed),
        _old_tie(known, scans),
        len(known.state.decisions),
        standing,
        unscanned,
        sum(each.kind == "specimen" for each in known.experiment.specimens),
    )


def _open(named: Answer) -> tuple[Open, ...]:
    """Elements that somebody asked for and of which nobody can tell, in the order of the answer."""
    found = []
    for element, told in named.detail["elements"].items():
        if told.get("asked") and told["verdict"] == "cannot-tell":
            doubts = [each["reason"] for each in told["impostors"] if each["status"] == "not-yet"]
            why = next((each for each in doubts if each in SETTLED_BY_A_SCAN), told["reason"])
            found.append(Open(element, told["edge"], why))
    return tuple(found)


def _in_order(known: Known) -> list[Scan]:
    """Scans of known edges as they arrived."""
    place = {key: number for number, key in enumerate(known.state.arrivals)}
    every = [scan for edge, group in known.scans.items() if edge != NO_EDGE for scan in group]
    return sorted(every, key=lambda scan: place[scan.key])


def _costs(known: Known, scans: Sequence[Scan], more: Iterable[str]) -> Costs:
    """From the scans so far; an edge that was never scanned takes what its scan list takes."""
    beamline = known.experiment.beamline
    overheads, planned = beamline.overheads, {each.edge: each.scan for each in known.experiment.edges}
    lasted = {
        edge: scan_list(edge, planned.get(edge, ScanWish()), beamline).minutes for edge in dict.fromkeys(more)
    }
    lasted |= {edge: scan_minutes(group, overheads) for edge, group in known.scans.items() if edge != NO_EDGE}
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


def _old_tie(known: Known, scans: Sequence[Scan]) -> tuple[str, float] | None:
    """(edge, minutes) at which to scan a standard, where one is mounted and its last scan is that long ago.

    By the files' own times, else by when they came. Where none was scanned at all, the first scan counts:
    then it is the edge of the last one.
    """
    standards = {each.name for each in known.experiment.specimens if each.kind == "standard"}
    if not (standards and scans):
        return None
    tied = [scan for scan in scans if scan.place.specimen in standards]
    ago = _minutes_between(known, tied[-1] if tied else scans[0], scans[-1])
    return ((tied or scans)[-1].edge, ago) if ago > OLD_TIE_MIN else None


def _minutes_between(known: Known, one: Scan, later: Scan) -> float:
    """By the files' own times; where a header tells none that can be read, by when both files came."""
    try:
        return minutes_between(one.started or "", later.started or "")
    except QuestionRefused:
        came = (known.state.arrivals[scan.key].time for scan in (one, later))
        return minutes_between(*came)
