"""What should worry a host now: at most five things, the most harmful first, each with its number.

Pure: a worry is there because something in the answers, the state or the files is so; it goes when that goes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from edgeshift.questions import trust as trusting
from edgeshift.recipe.beamline import Overheads
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.identity import digest
from edgeshift.records.room import View
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import ShiftState, moment
from edgeshift.records.worry import Remedy, Worry, WorryList
from edgeshift.wording import trust as trust_words
from edgeshift.wording import worries as words
from edgeshift.wording.numbers import with_give_or_take

MOST = 5
"""More than five things nobody keeps in mind while talking (our choice, no source)."""

HARM = (
    ("labels-swapped", "every conclusion is then about the wrong thing"),
    ("control-moved", "an artefact then poses as every difference there is"),
    ("text-broken", "what people believe to be in force is not"),
    ("slide-of-energy", "every feature is read at another energy"),
    ("order-confounded", "drift can pose as treatment, and only more scans mend it"),
    ("burnt-before", "repeats agree, and are all wrong"),
    ("damage", "the beam's own work is read as the sample's"),
    ("fingerprint-left", "dips of the beam are named as elements"),
    ("ghost-line", "an element is named that is not there"),
    ("off-specimen", "the mount is measured in the specimen's place"),
    ("charging", "a slope is read as chemistry"),
    ("slide-alone", "a moved scale is read as chemistry"),
    ("refused", "what was measured is not there to be judged"),
    ("no-place", "what was measured is compared with nothing"),
    ("not-repeated", "a place stays empty that minutes could fill now"),
    ("tie-before-loss", "the scale may have moved since it was tied"),
    ("old-tie", "the scale may have moved since it was tied"),
    ("no-tie", "energies compare within this shift only"),
    ("cannot-tell", "the question stays open, which is honest"),
    ("one-batch", "counted as one already, so only hope is lost"),
    ("dead-time-beside", "another counter than the one that answers"),
    ("series-moving", "small beside the give-or-take so far"),
    ("baseline-of-another-order", "moves a baseline a little"),
)
"""Codes, what would hurt most if ignored first, and why it stands there (common practice, no source). First
what makes a finding false, then what loses data, then what leaves a question open."""
PLACE_OF = {code: place for place, (code, _) in enumerate(HARM)}
ACT_OF = {
    "slide-of-energy": words.STANDARD,
    "slide-alone": words.STANDARD,
    "no-tie": words.STANDARD,
    "old-tie": words.STANDARD,
    "tie-before-loss": words.STANDARD,
    "control-moved": words.STANDARD,
    "order-confounded": words.FIRST_AGAIN,
    "burnt-before": words.FRESH,
    "damage": words.FRESH,
    "series-moving": words.FRESH,
    "charging": words.AGAIN,
    "fingerprint-left": words.AGAIN,
    "off-specimen": words.MOVE,
    "not-repeated": words.AGAIN,
    "cannot-tell": words.ONE_MORE,
}
"""What the minutes of the beam could do about it; the rest is mended by looking and typing."""
UNITS = {"points": "points", "found": "eV", "gap": "eV", "sigmas": "times its noise", "times": "times",
         "percent": "%", "correlation": "correlation", "squeeze": "share"}  # fmt: skip
"""Units of the number with which a scan was set aside, by its name."""
NO_PLACE = frozenset(("no-specimen", "unlisted"))


@dataclass(frozen=True)
class Grounds:
    """All that a worry may rest on. `refused` holds the sentence of every file that could not be taken, by
    its name; `complaint` says what does not hold in a text that was changed by hand."""

    state: ShiftState
    experiment: Experiment
    scans: Mapping[str, tuple[Scan, ...]]
    trust: Answer | None = None
    real: Sequence[Answer] = ()
    refused: Mapping[str, str] = ()
    complaint: str = ""


def worry_list(grounds: Grounds) -> WorryList:
    """At most five worries that nobody has accepted."""
    every, accepted = worries(grounds), grounds.state.accepted
    left = tuple(worry for worry in every if worry.key not in accepted)
    lived_with = tuple((worry, accepted[worry.key]) for worry in every if worry.key in accepted)
    return WorryList(left[:MOST], max(0, len(left) - MOST), lived_with)


def worries(grounds: Grounds) -> tuple[Worry, ...]:
    """Every worry there is, accepted or not, those that would hurt most first."""
    plan = _Minutes(grounds)
    found = [worry for source in SOURCES for worry in source(grounds, plan)]
    found.sort(key=lambda worry: (PLACE_OF[worry.code], -abs(worry.fact.value or 0.0)))
    return tuple(_told_apart(found))


def _told_apart(found: Iterable[Worry]) -> Iterator[Worry]:
    """Two worries never share a key: the second of the same kind about the same thing gets a number."""
    seen: dict[str, int] = {}
    for worry in found:
        seen[worry.key] = seen.get(worry.key, 0) + 1
        times = seen[worry.key]
        yield worry if times == 1 else replace(worry, key=f"{worry.key}/{times}")


class _Minutes:
    """What acts cost: the scan's own duration, and what the host typed of moving and changing edges."""

    def __init__(self, grounds: Grounds) -> None:
        self.overheads = grounds.experiment.beamline.overheads
        self.by_key = {
            key: scan
            for group in grounds.scans.values()
            for scan in group
            for key in (scan.key, *scan.regions)
        }
        arrived = [key for key in grounds.state.arrivals if key in self.by_key]
        self.in_order = [self.by_key[key] for key in arrived]
        kinds = {each.name: each.kind for each in grounds.experiment.specimens}
        self.standards = [s for s in self.in_order if kinds.get(s.place.specimen or "") == "standard"]

    def of(self, code: str, key: str | None = None, edge: str | None = None) -> Remedy | None:
        """The act against a worry about a scan or an edge; None where the beam cannot help."""
        act = ACT_OF.get(code)
        scan = self._measured(act, key, edge)
        if act is None or scan is None:
            return None
        moves = 2 if act == words.STANDARD else 1
        minutes = minutes_of(scan, self.overheads) + moves * self.overheads.move_min
        if scan.edge != self.in_order[-1].edge:
            minutes += self.overheads.edge_change_min
        about = None if act == words.STANDARD else key
        return Remedy(act, words.act_words(act, about, scan.edge), float(math.ceil(minutes)))

    def _measured(self, act: str | None, key: str | None, edge: str | None) -> Scan | None:
        """The scan that an act would repeat, or one that takes as long."""
        if not self.in_order:
            return None
        if act == words.STANDARD and self.standards:
            return self.standards[-1]
        if act == words.FIRST_AGAIN:
            return self.in_order[0]
        if key in self.by_key:
            return self.by_key[key]
        return next((s for s in reversed(self.in_order) if edge in (None, s.edge)), None)


def minutes_of(scan: Scan, overheads: Overheads) -> float:
    """Minutes that a scan took: by its clock times, by its own clock, or by its dwell and the settling."""
    if scan.started and scan.ended:
        seconds = (moment(scan.ended) - moment(scan.started)).total_seconds()
        if seconds > 0:
            return seconds / 60.0
    if scan.clock_s is not None and len(scan.clock_s) > 1:
        return float(scan.clock_s[-1] - scan.clock_s[0] + scan.dwell_s[-1]) / 60.0
    return float(scan.dwell_s.sum() + overheads.settle_s * scan.dwell_s.size) / 60.0


def _findings(grounds: Grounds, plan: _Minutes) -> Iterator[Worry]:
    """What several scans show together. A series that stays steady is none."""
    found = grounds.trust.detail.get("findings", ()) if grounds.trust else ()
    facts = grounds.trust.because[-len(found) :] if found else ()
    for finding, fact in zip(found, facts, strict=True):
        code = finding["code"]
        if code not in PLACE_OF:
            continue
        scans, numbers = finding["scans"], finding["numbers"]
        first = scans[0] if scans else None
        if fact.value is None:
            about = _counted(code, finding, fact)
            fact = Fact(fact.code, fact.what, about[0], None, about[1], fact.evidence)
        edges = [ref.key for ref in fact.evidence if ref.kind == "edge"]
        edge = plan.by_key[first].edge if first in plan.by_key else next(iter(edges), None)
        sentence = words.head(code, {**numbers, "scan": first or "", "units": numbers.get("count", "")})
        key = f"{code}/{first or '+'.join(edges) or int(fact.value)}"
        look = View("trust", edge)
        act = plan.of(code, first, edge)
        yield Worry(key, code, sentence, finding["sentence"], fact, look, first, act)


def _counted(code: str, finding: Mapping[str, Any], fact: Fact) -> tuple[float, str]:
    """What is counted where a finding has no number of its own."""
    if finding["scans"]:
        return float(len(finding["scans"])), "scans"
    kinds = [ref.kind for ref in fact.evidence]
    return (float(kinds.count("edge")), "edges") if "edge" in kinds else (float(len(kinds)), "units")


def _controls(grounds: Grounds, plan: _Minutes) -> Iterator[Worry]:
    """Control edges whose units moved."""
    for answer in grounds.real:
        detail = answer.detail
        if detail.get("role") != "control" or detail["rungs"].get("units") != "lit":
            continue
        fact = _difference(answer)
        sentence = words.head("control-moved", {"edge": answer.edge})
        key, look = f"control-moved/{answer.edge}", View("real", answer.edge)
        act = plan.of("control-moved", edge=answer.edge)
        number = with_give_or_take(fact.value, fact.uncertainty, fact.unit)
        why = words.WHY["control-moved"].format(number=number)
        yield Worry(key, "control-moved", sentence, why, fact, look, act=act)


def _difference(answer: Answer) -> Fact:
    """The difference that a lit rung rests on: of the feature, or how many of its bands left zero."""
    feature = answer.detail.get("feature")
    where = (Ref("edge", answer.edge),)
    if not feature:
        bands = float(len(answer.detail["curves"]["passed"]))
        return Fact("control-moved", f"{answer.edge}, bands that leave zero", bands, None, "bands", where)
    half = None if feature["low"] is None else (feature["high"] - feature["low"]) / 2
    unit = None if feature["unit"] == "ratio" else feature["unit"]
    return Fact(
        "control-moved", f"{answer.edge}, {feature['words']}", feature["difference"], half, unit, where
    )


def _untold(grounds: Grounds, plan: _Minutes) -> Iterator[Worry]:
    """Family edges at which nothing can be said of the treatment, and why."""
    for answer in grounds.real:
        detail = answer.detail
        if answer.edge is None or detail.get("role", "family") != "family":
            continue
        if detail["rungs"]["units"] != "cannot-test":
            continue
        units = float(min(detail.get("units", {}).values(), default=0))
        said = detail.get("rung_words", {}).get("units", words.WHY["not-yet-there"])
        why = words.WHY["cannot-tell"].format(words=said[:1].upper() + said[1:])
        fact = Fact(
            "cannot-tell", "units in the smaller arm", units, None, "units", (Ref("edge", answer.edge),)
        )
        sentence = words.head("cannot-tell", {"edge": answer.edge})
        key, look = f"cannot-tell/{answer.edge}", View("real", answer.edge)
        act = plan.of("cannot-tell", edge=answer.edge)
        yield Worry(key, "cannot-tell", sentence, why, fact, look, act=act)


def _aside(grounds: Grounds, plan: _Minutes) -> Iterator[Worry]:
    """Scans that the tool set aside, that nobody judged, and that no later scan of their spot replaced."""
    entries = _entries(grounds)
    kept = {key for key, entry in entries.items() if entry["verdict"] != "set-aside"}
    order = {scan.key: place for place, scan in enumerate(plan.in_order)}
    for key, entry in entries.items():
        scan = plan.by_key.get(key)
        if scan is None or entry["verdict"] != "set-aside" or entry["by"] != "tool":
            continue
        reason = entry["reasons"][0]
        same = (other for other in plan.in_order if (other.edge, other.place) == (scan.edge, scan.place))
        repeated = any(other.key in kept and order[other.key] > order[scan.key] for other in same)
        if reason["code"] == "duplicate" or (repeated and scan.place.specimen):
            continue
        fact = _number_of(key, reason, entry["numbers"])
        sentence = words.head("not-repeated", {"scan": key})
        look, act = View("trust", scan.edge), plan.of("not-repeated", key, scan.edge)
        yield Worry(f"not-repeated/{key}", "not-repeated", sentence, reason["sentence"], fact, look, key, act)


def _number_of(key: str, reason: Mapping[str, str], numbers: Mapping[str, Mapping]) -> Fact:
    """The number with which a scan was set aside; where it has none, that it is one scan."""
    ref = Ref("scan", key)
    said = numbers.get(reason["code"], {})
    name = next((name for name in UNITS if isinstance(said.get(name), int | float)), None)
    value, unit = (float(said[name]), UNITS[name]) if name else (1.0, "scan")
    return Fact(reason["code"], ref.token(), value, None, unit, (ref,))


def _nowhere(grounds: Grounds, plan: _Minutes) -> Iterator[Worry]:
    """Kept scans that belong to no specimen of the text."""
    lost = [
        key
        for key, entry in _entries(grounds).items()
        if entry["verdict"] != "set-aside" and NO_PLACE & {reason["code"] for reason in entry["reasons"]}
    ]
    if lost:
        fact = Fact("no-place", "scans of no known specimen", float(len(lost)), None, "scans",
                    tuple(Ref("scan", key) for key in lost))  # fmt: skip
        belong = "belongs" if len(lost) == 1 else "belong"
        sentence = words.head("no-place", {"scans": words.scans(len(lost)), "belong": belong})
        key = f"no-place/{_mark(lost)}"
        yield Worry(key, "no-place", sentence, words.WHY["no-place"], fact, View("trust"), lost[0])


def _ties(grounds: Grounds, plan: _Minutes) -> Iterator[Worry]:
    """No energy tie, an old one, or one from before the beam was lost."""
    state = grounds.state
    if not state.arrivals:
        return
    hours, look = trusting.hours_since_tie(state), View("trust")
    cautions = grounds.trust.cautions if grounds.trust else ()
    age = Fact("old-tie", "age of the last energy tie", hours, None, "h")
    last = state.ties[-1].time if state.ties else ""
    if not state.ties:
        fact = Fact("no-tie", "energy ties", 0.0, None, "ties")
        sentence, act = words.head("no-tie", {}), plan.of("no-tie")
        yield Worry("no-tie", "no-tie", sentence, words.WHY["no-tie"], fact, look, act=act)
    elif hours > trusting.TIE_AGE_H:
        sentence, why = words.head("old-tie", {"hours": hours}), trust_words.tie_age(hours)
        yield Worry(f"old-tie/{last}", "old-tie", sentence, why, age, look, act=plan.of("old-tie"))
    if trust_words.beam_lost_since_tie() in cautions:
        sentence, why = words.head("tie-before-loss", {}), trust_words.beam_lost_since_tie()
        act = plan.of("tie-before-loss")
        yield Worry(f"tie-before-loss/{last}", "tie-before-loss", sentence, why, age, look, act=act)


def _refused(grounds: Grounds, plan: _Minutes) -> Iterator[Worry]:
    """Files that could not be taken."""
    if grounds.refused:
        names = sorted(grounds.refused)
        fact = Fact("refused", "files that could not be taken", float(len(names)), None, "files")
        sentence = words.head("refused", {"files": words.files(len(names))})
        key = f"refused/{_mark(names)}"
        yield Worry(key, "refused", sentence, grounds.refused[names[0]], fact, View("trust"))


def _text(grounds: Grounds, plan: _Minutes) -> Iterator[Worry]:
    """A text that was changed by hand and does not hold."""
    if grounds.complaint:
        fact = Fact("text-broken", "texts that do not hold", 1.0, None, "text")
        key = f"text-broken/{_mark([grounds.complaint])}"
        yield Worry(key, "text-broken", words.head("text-broken", {}), grounds.complaint, fact, View("real"))


SOURCES = (_findings, _controls, _untold, _aside, _nowhere, _ties, _refused, _text)
"""Whatever may worry; each looks at the grounds and tells its worries, or none."""


def _entries(grounds: Grounds) -> dict[str, Mapping[str, Any]]:
    """Scan key -> what was said of it; a copy is no scan."""
    scans = grounds.trust.detail.get("scans", {}) if grounds.trust else {}
    return {each["scan"]: each for each in scans.values() if not each.get("copy_of")}


def _mark(texts: Iterable[str]) -> str:
    """A few letters that name these texts without telling them."""
    return digest(*texts)[:12]
