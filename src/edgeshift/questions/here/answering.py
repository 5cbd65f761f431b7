"""The answer to "What have we got here?", from every scan that says anything at all."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
from scipy.special import ndtri

from edgeshift.formats.emsa import LOSS, UNTIED
from edgeshift.numerics.detection import FALSE_ALARM
from edgeshift.numerics.lines import error_function_step, gaussian
from edgeshift.numerics.noise import single_scan_noise
from edgeshift.questions.here.amounts import Ratio, as_detail, ratios
from edgeshift.questions.here.axis import AxisFinding, axis_finding, placed
from edgeshift.questions.here.between_arms import AmountLooks, Compared, compared
from edgeshift.questions.here.forms import form
from edgeshift.questions.here.judging import Judged, judged
from edgeshift.questions.here.lineup import Impostor, World
from edgeshift.questions.here.material import Material, material_of
from edgeshift.questions.here.reading_facts import reading_facts
from edgeshift.questions.here.readings import foils_apart, in_order, readings
from edgeshift.questions.here.searching import LEAST_SHARE, Evidence, by_family, searched
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.once import Once
from edgeshift.records.spectrum import Pass
from edgeshift.tables.edge_kinds import kind_of
from edgeshift.tables.edges import DISAGREEMENT_EV, EdgeFamily, edge_named, split_ev
from edgeshift.wording import here as words

PLACES = 20_000
"""So many places are taken to be looked at in a shift when the strength asked for is set: it must be known
before anything is looked for."""
USABLE_ALL_THE_SAME = frozenset(
    {
        "no-edge", "few-points", "short-below", "short-above", "short-feature", "weak-step", "weak-line",
        "tilted", "noisy", "gap", "ghost-line", "fingerprint-left", "baseline-of-another-order",
        "off-specimen", "beam-structure", "no-specimen", "unlisted", "doubt", "feature-lost", "spike",
        "injection", "dead-time", "squeezed",
    }
)  # fmt: skip
"""Reasons of "Do we trust this trace?" that set a scan aside for comparing, and not for telling what is
here."""
GROUND, HEIGHT = "share of the reading below the edge", "share of the curve's height"
TOLD_FAR_EV = 5.0
"""Tables that lie farther apart than this get a caution of their own."""
MOST_POINTS = 400
WIDTH_EV, USUAL_ABOVE_EV = 1.6, 3.0
"""How wide a line is drawn that would have shown, and so far above the table (common practice, no source)."""
STAND_OUT = ("impostor", "incomplete", "partner-unscanned")
"""Doubts that people hear of although nobody named the element."""


@dataclass(frozen=True)
class Looked:
    """The looks at amounts that the book holds, by element and treated arm; `live` is false for an earlier
    moment, which takes no look."""

    standings: Mapping[tuple[str, str], AmountLooks]
    live: bool = True


def excluded_for_here(trusted: Answer) -> frozenset[str]:
    """Scans that say nothing here either: set aside by a person, or by the tool for what ruins any use."""
    aside = set()
    for each in trusted.detail.get("scans", {}).values():
        codes = {reason["code"] for reason in each["reasons"]}
        ruined = each["by"] != "tool" or bool(codes - USABLE_ALL_THE_SAME)
        if each["verdict"] == "set-aside" and ruined:
            aside.add(each["scan"])
    return frozenset(aside)


def answer(
    passes: Iterable[Pass],
    experiment: Experiment,
    edge: str | None = None,
    remembered: dict | None = None,
    against: str | None = None,
    looked: Looked | None = None,
) -> Answer:
    """What every scan of `passes` says of every element in its range; `edge` narrows it to that edge's scans.

    `detail["elements"]` is by symbol, strongest first. `against` names a reference element:
    `detail["amounts"]` then holds ratios of atoms; TextRefused where it stands nowhere. `looked` says which
    looks at amounts stand in the book; None: nobody keeps one. `remembered` spares a caller who keeps his
    passes alive from searching a scan twice.
    """
    once = Once(remembered)
    scans = [once(("material", id(each)), lambda each=each: material_of(each)) for each in passes]
    scans = [one for one in scans if one.energy_ev.size >= 12]
    if not scans:
        return Answer("here", "cannot-tell", words.NO_SCANS, edge, detail={"elements": {}})
    world = _world(scans, experiment, once)
    shown = [one for one in scans if edge in (None, one.edge)]
    axis = axis_finding(e for one in scans for e in once(("placed", id(one)), lambda one=one: placed(one)))
    found = _judged(world, {one.key for one in shown}, edge)
    asked = _asked(shown, experiment, edge)
    missing = _misplaced(axis, {one.key: one for one in shown})
    elements = _elements({**missing, **found}, asked, world, axis)
    told = _told(elements, world, axis, edge)
    return told if against is None else _with_amounts(told, world, against, experiment, looked)


def amounts(
    passes: Iterable[Pass], experiment: Experiment, against: str, remembered: dict | None = None
) -> list[Ratio]:
    """Atoms of every element over those of `against`, spot by spot; TextRefused where it stands nowhere."""
    once = Once(remembered)
    scans = [once(("material", id(each)), lambda each=each: material_of(each)) for each in passes]
    return ratios(_world([one for one in scans if one.energy_ev.size >= 12], experiment, once), against)


def with_form(told: Answer, edge_set: EdgeSet, experiment: Experiment) -> Answer:
    """The answer for one edge with what form its spots are in: features, fitted lines, calibrated
    quantity."""
    plan = experiment.edge_plan(edge_set.edge)
    found = form(edge_set, plan and plan.feature, plan and plan.calibration)
    facts, cautions = [], []
    for spot in found["spots"]:
        refs = (Ref("specimen", spot["specimen"]),) if spot["specimen"] else ()
        where = refs[0].token() if refs else "one spot"
        if spot["fit"]:
            centres = [line["centre"]["value"] for line in spot["fit"]["lines"]]
            facts.append(Fact("lines", words.lines_words(where, centres), evidence=refs))
        if spot["calibrated"]:
            one = spot["calibrated"]
            what = words.calibrated_words(one, where)
            facts.append(Fact("calibrated", what, one["value"], one.get("sigma"), None, refs))
            cautions.append(words.calibration_caution(one))
    detail = {**told.detail, "form": found}
    shapes = (words.LINES_ARE_SHAPES,) if any(spot["fit"] for spot in found["spots"]) else ()
    read = readings(edge_set)
    detail["form"] = {**found, "readings": read, "in_order": in_order(read), "tie_by": foils_apart(read)}
    feature = plan.feature if plan else None
    facts = [*reading_facts(edge_set.edge, detail["form"], feature and feature.words), *facts]
    no_steps = dict.fromkeys(each["no_step"] for each in read if each["no_step"])
    acts = words.tie_acts(detail["form"]["tie_by"])
    element = edge_set.edge.split()[0]
    others = words.not_its_own(element, told.detail["elements"].get(element), [e["specimen"] for e in read])
    cautions = tuple(dict.fromkeys((*no_steps, *others, *told.cautions, *shapes, *cautions)))
    return replace(
        told,
        because=(*told.because, *facts),
        would_change_it=(*acts, *told.would_change_it),
        detail=detail,
        cautions=cautions,
    )


def _with_amounts(
    told: Answer, world: World, against: str, experiment: Experiment, looked: Looked | None
) -> Answer:
    """The same with every element's atoms over those of the reference, spot by spot and between arms."""
    found = ratios(world, against)
    standings, live = (None, True) if looked is None else (looked.standings, looked.live)
    between = compared(found, experiment, against, standings, live)
    facts = [*map(_ratio_fact, _nearest_whole(found)), *map(_arm_fact, between)]
    detail = {
        **told.detail,
        "amounts": {"spots": as_detail(found), "arms": [asdict(each) for each in between]},
    }
    shared = (words.AMOUNTS_SHARE_THE_LEVEL,) if between else ()
    cautions = (*told.cautions, words.AMOUNTS, *shared)
    return replace(told, because=(*told.because, *facts), detail=detail, cautions=cautions)


def _nearest_whole(found: list[Ratio]) -> list[Ratio]:
    """One spot of each element and specimen: the middle one."""
    groups: dict[tuple[str, str], list[Ratio]] = {}
    for each in found:
        groups.setdefault((each.element, each.specimen), []).append(each)
    return [sorted(some, key=lambda e: e.value)[len(some) // 2] for some in groups.values()]


def _ratio_fact(each: Ratio) -> Fact:
    refs = (Ref("specimen", each.specimen), *(Ref("scan", scan) for scan in each.scans))
    what = words.ratio_words(each.element, each.reference, refs[0].token(), each.low, each.high)
    return Fact("atoms", what, each.value, None, "atoms an atom", refs if each.specimen else refs[1:])


def _arm_fact(each: Compared) -> Fact:
    refs = (Ref("arm", each.treated), Ref("arm", each.control))
    said = words.arms_words(asdict(each), refs[0].token(), refs[1].token())
    times = each.times if math.isfinite(each.times) else None
    return Fact(f"atoms-{each.state}", said, times, None, None if times is None else "times", refs)


def _world(scans: list[Material], experiment: Experiment, once: Once) -> World:
    strength = float(-ndtri(FALSE_ALARM / PLACES))
    evidence: list[Evidence] = []
    for one in scans:
        others = _same_range(one, scans)
        key = ("searched", id(one), tuple(map(id, others)))
        evidence += once(key, lambda one=one, others=others: searched(one, others, strength))
    blanks = frozenset(s.name for s in experiment.specimens if s.kind == "blank")
    return World(by_family(evidence), {one.key: one for one in scans}, blanks)


def _same_range(one: Material, scans: list[Material]) -> list[Material]:
    """A few other scans over the same energies, for what their I0 knows."""
    found = []
    for other in scans:
        if other is one or other.beam is None:
            continue
        if other.energy_ev[0] <= one.energy_ev[-1] and other.energy_ev[-1] >= one.energy_ev[0]:
            found.append(other)
        if len(found) == 4:
            break
    return found


def _judged(world: World, keys: set[str], edge: str | None) -> dict[str, dict[str, Judged]]:
    """Element -> specimen -> verdict, from the scans of these keys."""
    groups: dict[tuple[str, str], list[Evidence]] = {}
    for some in world.evidence.values():
        for each in some:
            if each.scan in keys:
                place = (each.family.element, world.scans[each.scan].specimen)
                groups.setdefault(place, []).append(each)
    found: dict[str, dict[str, Judged]] = {}
    for (element, specimen), some in groups.items():
        found.setdefault(element, {})[specimen] = judged(element, specimen, some, world, PLACES)
    return found


def _asked(scans: list[Material], experiment: Experiment, edge: str | None) -> frozenset[str]:
    """Elements that somebody named: by the edge of a scan, or in the plan."""
    names = [one.edge for one in scans] + ([plan.edge for plan in experiment.edges] if edge is None else [])
    return frozenset(name.split()[0] for name in names if name)


def _elements(
    found: Mapping[str, Mapping[str, Judged]], asked: frozenset[str], world: World, axis: AxisFinding | None
) -> dict[str, dict[str, Any]]:
    told = {}
    for element, by_specimen in found.items():
        own = _own(by_specimen, world)
        best = min(own.values(), key=lambda one: _order(one, world))
        entry = _entry(best, world, axis)
        entry["asked"] = element in asked or _stands_out(best)
        entry["impostors"] = _lined_up(own)
        entry["sentence"] = words.reason_sentence(entry)
        entry["specimens"] = {name: _short(one, world, axis) for name, one in by_specimen.items() if name}
        entry["doubted_in"] = _doubted_in(entry)
        told[element] = entry
    rank = {"seen": 0, "cannot-tell": 1, "not-seen": 2}
    return dict(sorted(told.items(), key=lambda i: (rank[i[1]["verdict"]], not i[1]["asked"], i[1]["at_ev"])))


def _own(by_specimen: Mapping[str, Judged], world: World) -> Mapping[str, Judged]:
    """What is told of an element: its specimens; bare mounts only where none of the others was scanned at
    its edge."""
    own = {name: one for name, one in by_specimen.items() if name not in world.blanks}
    at_edge = any(_at_its_edge(one, world) for one in own.values())
    if own and not at_edge:
        own |= {name: one for name, one in by_specimen.items() if _at_its_edge(one, world)}
    return own or by_specimen


def _at_its_edge(one: Judged, world: World) -> bool:
    """Whether the scan that a verdict rests on was taken for this edge."""
    return world.scans[one.best.scan].edge == one.best.family.name


def _doubted_in(entry: Mapping[str, Any]) -> list[str]:
    """Specimens scanned at the edge of which nobody can tell, though of another one somebody can."""
    if entry["verdict"] == "cannot-tell":
        return []
    every = entry["specimens"].items()
    return [n for n, one in every if one["verdict"] == "cannot-tell" and one["at_edge"] and not one["blank"]]


def _misplaced(axis: AxisFinding | None, shown: Mapping[str, Material]) -> dict[str, dict[str, Judged]]:
    """Elements whose own scans do not even reach their windows, because the axis is off."""
    missing = {}
    for each in axis.edges if axis else ():
        if each.scan not in shown:
            continue
        family, specimen = edge_named(each.edge), shown[each.scan].specimen
        hidden = Evidence(family, kind_of(family), each.scan, "hidden", None, 1.0)
        told = Judged(family.element, specimen, "cannot-tell", "too-weak-a-test", hidden)
        missing[family.element] = {specimen: told}
    return missing


def _stands_out(one: Judged) -> bool:
    """Whether people should hear of an element that nobody named."""
    return one.verdict == "seen" or (one.verdict == "cannot-tell" and one.reason in STAND_OUT)


def _order(one: Judged, world: World) -> tuple[float, ...]:
    """What an element's verdict rests on: where it is seen; else where something stands; else what its own
    edge says before what a survey says, doubt before absence, and of absences the one told with the largest
    limit: less than that may be anywhere."""
    standing = one.best.state in ("found", "alone", "slow")
    if one.verdict == "seen" or (one.verdict == "cannot-tell" and standing):
        return (0.0 if one.verdict == "seen" else 1.0), -one.best.found.strength
    if one.verdict == "not-seen":
        return (3.0 if _at_its_edge(one, world) else 4.0), float(one.reason == "nothing"), -one.limit
    return (2.0 if _at_its_edge(one, world) else 5.0), 0.0


def _entry(one: Judged, world: World, axis: AxisFinding | None) -> dict[str, Any]:
    """One element as the answer's JSON holds it."""
    best, verdict, reason = one.best, one.verdict, one.reason
    if axis is not None and axis.doubts(best.scan):
        verdict, reason = "cannot-tell", "axis-off"
    elif verdict == "seen" and _is_untied(world.scans[best.scan]) and best.kind != "lines":
        named = world.scans[best.scan].edge == best.family.name
        verdict, reason = (verdict, reason) if named else ("cannot-tell", "axis-untied")
    first = best.family.edges[0]
    standing = best.found is not None and best.state in ("found", "alone", "slow")
    return {
        "verdict": verdict,
        "reason": reason,
        "limit": one.limit if verdict == "not-seen" else None,
        "unit": HEIGHT if best.by_height else GROUND,
        "edge": best.family.name,
        "kind": best.kind,
        "at_ev": best.found.at_ev if standing else first.low_ev,
        "window_ev": list(first.line_reach),
        "split_ev": best.found.split_ev if standing and best.found.split_ev else None,
        "width_ev": best.found.width_ev if standing else None,
        "amount": one.amount,
        "sigma": one.sigma,
        "scan": best.scan,
        "specimen": one.specimen or None,
        "tables_ev": [{"value": e.value, "source": e.source} for e in first.energies],
    }


def _suspect(each: Impostor) -> dict[str, Any]:
    return {
        "kind": each.kind,
        "what": each.what,
        "name": words.suspect(each.kind, each.what),
        "status": "beside" if each.reason == "beside" else "excluded" if each.excluded else "not-yet",
        "reason": each.reason,
        "why": words.why(each.reason, each.numbers),
        "numbers": dict(each.numbers),
        "window_ev": list(each.window_ev) if each.window_ev else None,
    }


def _lined_up(own: Mapping[str, Judged]) -> list[dict[str, Any]]:
    """Every specimen's suspects, those of one standing together, each with its specimens and scans; not yet
    excluded first. Tables, pictures and reasons all speak from this list."""
    found: dict[tuple[str, ...], dict[str, Any]] = {}
    for name, one in own.items():
        for each in one.impostors:
            told = _suspect(each)
            key = tuple(told[part] for part in ("kind", "what", "status", "why"))
            kept = found.setdefault(key, {**told, "specimens": [], "scans": []})
            kept["scans"].append(one.best.scan)
            if name:
                kept["specimens"].append(name)
    rank = {"not-yet": 0, "beside": 1, "excluded": 2}
    return sorted(found.values(), key=lambda each: (rank[each["status"]], each["kind"], each["what"]))


def _short(one: Judged, world: World, axis: AxisFinding | None) -> dict[str, Any]:
    told = {"verdict": one.verdict, "reason": one.reason, "limit": one.limit, "scan": one.best.scan}
    if axis is not None and axis.doubts(one.best.scan):
        told |= {"verdict": "cannot-tell", "reason": "axis-off", "limit": None}
    told |= {"edge": one.best.family.name, "amount": one.amount, "sigma": one.sigma}
    told |= {"at_edge": _at_its_edge(one, world), "blank": one.specimen in world.blanks}
    suspects = [_suspect(each) for each in one.impostors]
    kept = ("kind", "what", "name", "status", "reason")
    return {**told, "suspects": [{part: each[part] for part in kept} for each in suspects]}


def _told(
    elements: dict[str, dict[str, Any]],
    world: World,
    axis: AxisFinding | None,
    edge: str | None,
) -> Answer:
    asked = {symbol: told for symbol, told in elements.items() if told["asked"]} or elements
    settled = [told for told in asked.values() if told["verdict"] != "cannot-tell"]
    whole = len(settled) == len(asked) and not any(told["doubted_in"] for told in settled)
    verdict = "answered" if whole else "partly" if settled else "cannot-tell"
    own = edge.split()[0] if edge else None
    said = words.one_element(own, elements[own]) if own in elements else words.sentence(elements)
    detail: dict[str, Any] = {"elements": elements, "axis": _axis_detail(axis)}
    shown = _shown(elements, own)
    if shown is not None:
        detail["shown"] = shown
        detail["trace"] = _trace(world.scans[elements[shown]["scan"]], elements[shown])
    facts = (*_facts(elements, axis), *_suspects(elements))
    return Answer(
        "here", verdict, said, edge, facts, tuple(_acts(elements)), tuple(_cautions(elements, world)), detail
    )


def _facts(elements: Mapping[str, Mapping[str, Any]], axis: AxisFinding | None) -> Iterable[Fact]:
    if axis is not None:
        telling = [e for e in axis.edges if e.off or axis.several]
        names = tuple(dict.fromkeys(e.edge for e in telling))
        half = 0.5 * (axis.high_ev - axis.low_ev)
        code = "axis-off" if axis.several else "edge-off"
        refs = tuple(dict.fromkeys(Ref("scan", e.scan) for e in telling))
        yield Fact(
            code, words.axis(axis.middle_ev, half, names, axis.several), axis.middle_ev, half, "eV", refs[:6]
        )
    for symbol, told in elements.items():
        if not told["asked"]:
            continue
        ref = (Ref("scan", told["scan"]),)
        what = words.fact_words(symbol, told)
        if told["verdict"] == "not-seen":
            yield Fact("not-seen", what, round(100.0 * told["limit"], 3), None, "%", ref)
        elif told["amount"] is None:
            yield Fact(told["verdict"], what, evidence=ref)
        else:
            yield Fact(told["verdict"], what, 100.0 * told["amount"], 100.0 * told["sigma"], "%", ref)
        for name in told["doubted_in"]:
            one = told["specimens"][name]
            said = words.doubt_words(symbol, name, one)
            yield Fact("cannot-tell", said, evidence=(Ref("specimen", name), Ref("scan", one["scan"])))


def _suspects(elements: Mapping[str, Mapping[str, Any]]) -> Iterable[Fact]:
    """Suspects that are not excluded, in whatever specimen, and orders that bend the ground."""
    for symbol, told in elements.items():
        for each in told["impostors"] if told["asked"] else ():
            if each["status"] == "excluded":
                continue
            share, sigma = each["numbers"].get("percent"), each["numbers"].get("sigma")
            at = (*(Ref("scan", scan) for scan in each["scans"]),)
            line = f"{symbol}: {words.suspect_line(each)}"
            yield Fact(each["kind"], line, share, sigma, None if share is None else "%", at)


def _acts(elements: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """What would settle what is not settled, at most four."""
    acts = [words.TIE_AXIS] if any(told["reason"] == "axis-off" for told in elements.values()) else []
    for told in elements.values():
        if not told["asked"]:
            continue
        open_reasons = {each["reason"] for each in told["impostors"] if each["status"] == "not-yet"}
        if "blank-unmeasured" in open_reasons:
            acts.append(words.MEASURE_BLANK.format(edge=told["edge"]))
        if "like-the-blank" in open_reasons:
            acts.append(words.OTHER_MOUNT.format(edge=told["edge"]))
        if told["reason"] == "partner-unscanned":
            acts.append(words.SCAN_ON.format(ev=edge_named(told["edge"]).edges[-1].high_ev + 10.0))
        if told["reason"] in ("incomplete", "too-weak-a-test", "unexplained"):
            acts.append(words.SCAN_FINER.format(edge=told["edge"]))
        if "fits" in open_reasons:
            acts.append(words.OTHER_ORDER.format(edge=told["edge"]))
    return list(dict.fromkeys(acts))[:4]


def _cautions(elements: Mapping[str, Mapping[str, Any]], world: World) -> Iterable[str]:
    far = []
    for told in elements.values():
        spread = edge_named(told["edge"]).edges[0].spread_ev
        if told["asked"] and spread > TOLD_FAR_EV > DISAGREEMENT_EV:
            far.append((told["edge"], spread))
    if far:
        yield words.disagreement(far)
    if any(_is_untied(one) for one in world.scans.values()):
        yield words.UNTIED
    if any(one.each.scan.signal == "electron-yield" for one in world.scans.values()):
        yield words.SURFACE


def _is_untied(one: Material) -> bool:
    """Whether the file says that its energies are tied to nothing."""
    return bool({LOSS, UNTIED} & set(one.each.scan.doubts))


def _axis_detail(axis: AxisFinding | None) -> dict[str, Any] | None:
    if axis is None:
        return None
    edges = [{"edge": e.edge, "scan": e.scan, "low_ev": e.low_ev, "high_ev": e.high_ev} for e in axis.edges]
    return {"low_ev": axis.low_ev, "high_ev": axis.high_ev, "several": axis.several, "edges": edges}


def _shown(elements: Mapping[str, Mapping[str, Any]], own: str | None) -> str | None:
    """The element that the picture is about: the one asked for, else the first with an open suspect."""
    if own in elements:
        return own
    asked = [symbol for symbol, told in elements.items() if told["asked"]]
    doubt = [s for s in asked if elements[s]["verdict"] == "cannot-tell" or elements[s]["reason"] == "ghost"]
    return next(iter([*doubt, *asked, *elements]), None)


def _trace(one: Material, told: Mapping[str, Any]) -> dict[str, Any]:
    """The stretch of the scan around the element, for the picture; lists, so that JSON holds it.

    `at_ev` is where its line and its twin, or its step, stand or would stand; `would_have_shown` the same
    ground with just so much on it as would have been seen, where nothing is.
    """
    family = edge_named(told["edge"])
    low, high = told["window_ev"][0] - 14.0, family.edges[-1].line_reach[1] + 8.0
    inside = np.flatnonzero((one.energy_ev >= low) & (one.energy_ev <= high))
    inside = inside[:: max(1, inside.size // MOST_POINTS)]
    at, value = one.energy_ev[inside], one.value[inside]
    level = float(np.median(value[: max(4, value.size // 8)])) if value.size else 1.0
    value = value / (level if level > 0 else max(float(np.ptp(value)), 1e-300))
    places = _places(told, family)
    return {
        "scan": one.key,
        "energy_ev": at.tolist(),
        "value": value.tolist(),
        "sigma": single_scan_noise(at, value) if at.size > 8 else 0.0,
        "at_ev": [place for place in places if at.size and at[0] <= place <= at[-1]],
        "would_have_shown": _would_have_shown(at, value, told, places),
        "unit": "of its ground",
    }


def _places(told: Mapping[str, Any], family: EdgeFamily) -> list[float]:
    """Where the line and its twin, or the step, stand; unfound: a little above the table, as white lines
    do."""
    first, pairs = family.edges[0], told["kind"] == "lines"
    standing = told["width_ev"] is not None
    place = told["at_ev"] if standing else first.high_ev + (USUAL_ABOVE_EV if pairs else 0.0)
    return [place, place + (told["split_ev"] or split_ev(family.name))] if pairs else [place]


def _would_have_shown(
    at: np.ndarray, value: np.ndarray, told: Mapping[str, Any], places: list[float]
) -> list[float] | None:
    if told["limit"] is None or at.size < 12:
        return None
    ground = np.polyval(np.polyfit(at - at.mean(), value, 2), at - at.mean())
    if told["kind"] != "lines":
        return (ground + error_function_step(at, told["limit"], places[0], WIDTH_EV)).tolist()
    heights = (told["limit"], told["limit"] * LEAST_SHARE)
    return (
        ground + sum(gaussian(at, h, place, WIDTH_EV) for h, place in zip(heights, places, strict=True))
    ).tolist()
