"""A verdict for every scan: the tool's own, and a person's over it where one was given."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from edgeshift.numerics.local_lines import Spline
from edgeshift.numerics.outliers import alone
from edgeshift.questions.trust.case import Case, declared_feature
from edgeshift.questions.trust.checks import reasons
from edgeshift.questions.trust.findings import Finding
from edgeshift.questions.trust.reasons import Reason, against, note
from edgeshift.questions.trust.together import findings
from edgeshift.questions.trust.traces import traces_of
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.flags import FLAGS
from edgeshift.records.identity import digest
from edgeshift.records.once import Once
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import Arrival, Judgement, ShiftState, moment
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.raw_curve import RawCurve, by_specimen, raw_ratio
from edgeshift.wording import trust as words

SHORT = frozenset({"few-points", "short-below", "short-above", "short-feature"})
"""A scan that is too short for its feature still tells whether its spot changes."""
TIE_AGE_H = 2.0
"""An energy tie older than this is told (common practice, no source)."""


def answer(
    state: ShiftState,
    experiment: Experiment,
    sets: Mapping[str, tuple[Pass, ...]],
    now: str | None = None,
    remembered: dict | None = None,
) -> Answer:
    """Judge every scan of `sets` (flagged passes by edge). `now` dates the energy tie; None: the last one.

    `detail["scans"]` is by file name; `detail["trace"]` is there when only one scan is asked about. A
    person's judgement replaces the tool's verdict; the tool's own stays beside it. `remembered` spares a
    caller who keeps his passes alive from judging the same scan beside the same others twice.
    """
    passes = [each for group in sets.values() for each in group]
    if not passes:
        return Answer("trust", "cannot-tell", words.NO_SCANS, detail={"scans": {}})
    once = Once(remembered)
    said = _said_of_each(sets, state, experiment, once)
    found = _together(sets, state, experiment, said, once)
    for finding in found:
        for key in finding.scans:
            said[key] = said[key]._replace(reasons=(*said[key].reasons, finding.as_note()))
    scans = {
        one.each.scan.file: _judged(one.each, one.reasons, state.judgements.get(key))
        for key, one in said.items()
    }
    detail: dict[str, Any] = {"scans": {**scans, **_copies(scans, state.arrivals)}}
    detail["findings"] = [finding.as_detail() for finding in found]
    if len(passes) == 1:
        detail["trace"] = _trace(passes[0])
    cautions = _cautions(state, now, scans)
    return _summed_up(scans, found, detail, cautions, next(iter(sets)) if len(sets) == 1 else None)


def set_aside(found: Answer) -> frozenset[str]:
    """Keys of the scans not to be used: the tool's, unless a person kept them, and a person's own."""
    return frozenset(
        each["scan"]
        for each in found.detail.get("scans", {}).values()
        if each["verdict"] == "set-aside" and not each.get("copy_of")
    )


class _Said(NamedTuple):
    """A scan and its own reasons, those that weigh most first."""

    each: Pass
    reasons: tuple[Reason, ...]


def _said_of_each(sets: Mapping, state: ShiftState, experiment: Experiment, once: Once) -> dict[str, _Said]:
    """Scan key -> what its own checks say. The first of several scans with the same readings is no copy."""
    said: dict[str, _Said] = {}
    first_of: dict[str, str] = {}
    for edge, group in sets.items():
        for case in _cases(edge, group, state, experiment):
            found = _reasons(case, once)
            scan = case.each.scan
            marks = (scan.sha256, once(("readings", id(scan)), lambda scan=scan: _readings(scan)))
            first = [first_of.setdefault(mark, scan.key) for mark in marks if mark]
            if any(key != scan.key for key in first):
                found = (against("duplicate"), *found)
            said[scan.key] = _Said(case.each, found)
    return said


def _readings(scan: Scan) -> str:
    """A mark of all that the detectors said: two scans never agree in that to the last digit, copies do."""
    live = [channel.raw for channel in scan.channels.values() if np.ptp(np.nan_to_num(channel.raw)) > 0]
    return digest(scan.energy_ev.tobytes(), *(raw.tobytes() for raw in live)) if live else ""


def _together(
    sets: Mapping, state: ShiftState, experiment: Experiment, said: Mapping[str, _Said], once: Once
) -> tuple[Finding, ...]:
    """What several scans show together. Scans set aside take no part, unless they are only short.

    One that falls at its edge may do so because of the beam's own dips, and is looked at for those.
    """
    aside = _spoken_against(said, SHORT)
    undivided = _spoken_against(said, SHORT | {"falls"})
    judged = {key for key, judged in state.judgements.items() if judged.verdict == "set-aside"}
    traces, beams = (
        traces_of(sets, state, experiment, frozenset(out | judged), once) for out in (aside, undivided)
    )
    return findings(traces, beams)


def _spoken_against(said: Mapping[str, _Said], but_for: frozenset[str]) -> set[str]:
    """Scans set aside for any reason but these."""
    return {
        key
        for key, one in said.items()
        if any(reason.weight == "set-aside" and reason.code not in but_for for reason in one.reasons)
    }


def _cases(edge: str, group: tuple[Pass, ...], state: ShiftState, experiment: Experiment):
    """Cases of one edge. A scan that a person set aside is no measure for the others."""
    doubted = {key for key, judged in state.judgements.items() if judged.verdict == "set-aside"}
    others = {
        key: tuple(other for other in same if other.scan.key not in doubted)
        for key, same in by_specimen(group).items()
    }
    feature, recipe = declared_feature(edge, experiment), experiment.recipe_for(edge)
    listed = frozenset(specimen.name for specimen in experiment.specimens)
    curves: dict[str, RawCurve] = {}
    splines: dict[str, Spline] = {}
    return [Case(each, others[each.scan.key], feature, recipe, listed, curves, splines) for each in group]


def _reasons(case: Case, once: Once) -> tuple[Reason, ...]:
    key = (id(case.each), tuple(map(id, case.others)), case.feature, case.recipe, case.listed)
    return once(key, lambda: reasons(case))


def _judged(each: Pass, found: tuple[Reason, ...], judgement: Judgement | None) -> dict[str, Any]:
    own = found[0].weight if found else "keep"
    told = [{"code": reason.code, "sentence": reason.sentence} for reason in found]
    numbers = {reason.code: reason.numbers for reason in found if reason.numbers}
    entry = {"scan": each.scan.key, "edge": each.scan.edge, "verdict": own, "by": "tool"}
    if judgement:
        told.insert(0, {"code": "judged", "sentence": judgement.reason})
        entry |= {"verdict": judgement.verdict, "by": judgement.role, "tool": own}
    return {**entry, "reasons": told, "numbers": numbers}


def _copies(scans: Mapping[str, dict], arrivals: Mapping[str, Arrival]) -> dict[str, dict[str, Any]]:
    """An entry for each other name under which a scan's bytes came: shown, and counted once."""
    told = {}
    for file, entry in scans.items():
        arrival = arrivals.get(entry["scan"])
        for name in arrival.copies if arrival else ():
            if name not in scans:
                copy = {"scan": entry["scan"], "edge": entry["edge"], "verdict": "set-aside", "by": "tool"}
                why = note("duplicate")
                told[name] = {
                    **copy,
                    "copy_of": file,
                    "reasons": [{"code": why.code, "sentence": why.sentence}],
                    "numbers": {},
                }
    return told


def _summed_up(
    scans: Mapping[str, dict],
    found: tuple[Finding, ...],
    detail: dict,
    cautions: tuple[str, ...],
    edge: str | None,
) -> Answer:
    aside = [each for each in scans.values() if each["verdict"] == "set-aside"]
    noted = sum(each["verdict"] == "keep-with-a-note" for each in scans.values())
    facts = tuple(
        Fact(each["reasons"][0]["code"], f"{ref.token()}: {each['reasons'][0]['sentence']}", evidence=(ref,))
        for each in aside
        for ref in (Ref("scan", each["scan"]),)
    )
    acts = tuple(dict.fromkeys(finding.next_act for finding in found))
    return Answer(
        "trust",
        "some-set-aside" if aside else "all-kept",
        words.verdict_sentence(len(scans), len(aside), noted),
        edge,
        (*facts, *(finding.fact() for finding in found)),
        (*_acts_about(aside), *acts),
        cautions,
        detail,
    )


def _acts_about(aside: list[Mapping[str, Any]]) -> tuple[str, ...]:
    """What to do about scans set aside; a copy is not worth another scan."""
    again = any(each["reasons"][0]["code"] != "duplicate" for each in aside)
    return (*((words.SCAN_AGAIN,) if again else ()), *((words.KEEP_IT,) if aside else ()))


def _cautions(state: ShiftState, now: str | None, scans: Mapping[str, dict]) -> tuple[str, ...]:
    """Cautions for the whole experiment: never tied, tied long ago, or the beam was lost since."""
    if not state.ties:
        return (words.NEVER_TIED,)
    times = [moment(arrival.time) for arrival in state.arrivals.values()]
    last = moment(now) if now else max(times, default=None)
    tied = [moment(tie.time) for tie in state.ties if tie.time]
    hours = (last - max(tied)).total_seconds() / 3600.0 if last and tied else 0.0
    old = (words.tie_age(hours),) if hours > TIE_AGE_H else ()
    lost = [
        moment(state.arrivals[each["scan"]].time)
        for each in scans.values()
        if each["scan"] in state.arrivals and any(r["code"] == "beam-dropped" for r in each["reasons"])
    ]
    since = tied and any(when > max(tied) for when in lost)
    return (*old, words.beam_lost_since_tie()) if since else old


def _trace(each: Pass) -> dict[str, Any]:
    """The scan on rising energies with its noise and flags, for the picture; lists, so that JSON holds it."""
    order = np.argsort(each.scan.energy_ev, kind="stable")
    energy, value = each.scan.energy_ev[order], raw_ratio(each)[order]
    strictly = np.r_[True, np.diff(energy) > 0] & np.isfinite(value)
    noise = alone(energy[strictly], value[strictly]).sigma
    sigma = np.interp(energy, energy[strictly], noise) if strictly.any() else np.full(energy.size, np.nan)
    marks = [
        {"energy_ev": float(energy[row]), "code": flag.code, "words": flag.words}
        for flag in FLAGS
        for row in np.flatnonzero(each.flags[order] & flag.bit)
    ]
    curve = {"energy_ev": energy.tolist(), "value": value.tolist(), "sigma": sigma.tolist()}
    return {"scan": each.scan.key, "file": each.scan.file, **curve, "flags": marks, "unit": "ratio"}
