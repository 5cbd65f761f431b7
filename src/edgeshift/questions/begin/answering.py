"""The answer to "Can we begin?": minutes until the pressure that the host typed, and the likely cause."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from edgeshift.numerics.pumping import FEWEST, Shapes, rise, weigh
from edgeshift.numerics.vacuum import leak_mbar_l_per_s
from edgeshift.questions.begin.causes import Cause, TimedRise, judged
from edgeshift.questions.begin.forecast import SHIFT_MIN, fan, forecast
from edgeshift.questions.begin.on_specimen import NOTHING_FOREIGN, Foreign, OnSpecimen, on_specimen
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.pump_down import PumpDown, pump_downs
from edgeshift.records.shift_state import ShiftState
from edgeshift.wording import begin as words

INTERVAL = 0.8
SECOND_CAUSE = 0.25
"""A second cause that has so much for it is named too."""
NOBODY_LOOKED: Mapping[str, Foreign] = {}
NO_MINUTES = {"value": None, "low": None, "high": None}


def answer(
    state: ShiftState, experiment: Experiment, foreign: Mapping[str, Foreign] = NOBODY_LOOKED
) -> Answer:
    """Of the load last heard of: not yet, below the typed limit, stalled, or cannot tell because.

    Where scans across specimens were noted, `detail["beam"]` says of each whether the beam lies on it;
    `foreign` is what later scans show of the mount, by specimen.
    """
    found = _pumped(state, experiment)
    if found.detail.get("complaints"):
        said = tuple(Fact("log-complaint", one) for one in found.detail["complaints"])
        found = replace(found, because=(*found.because, *said))
    beam = tuple(
        on_specimen(event.payload, experiment.beamline, foreign.get(name, NOTHING_FOREIGN))
        for name, event in state.positions.items()
    )
    if not beam:
        return found
    detail = {**found.detail, "beam": [each._asdict() for each in beam]}
    facts = tuple(fact for each in beam for fact in _beam_facts(each))
    untold = found.sentence == words.NO_READINGS
    sentence = words.NO_READINGS_BUT_BEAM if untold else found.sentence
    return replace(found, sentence=sentence, because=(*found.because, *facts), detail=detail)


def _beam_facts(beam: OnSpecimen) -> list[Fact]:
    """Where the beam lies with its margin, its width there, and how far off a proud phosphor showed it."""
    told = words.on_specimen(beam)
    margin = Fact(f"beam-{beam.verdict}", told, beam.margin_mm, unit=_mm(beam), evidence=_seen_in(beam))
    at = (Ref("specimen", beam.specimen),)
    sizes = (
        ("beam-width", words.BEAM_WIDTH, beam.fwhm_mm),
        ("beam-footprint", words.FOOTPRINT, beam.footprint_mm),
        ("beam-offset", words.OFFSET, beam.offset_mm or None),
    )
    return [
        margin,
        *(Fact(code, what, value, unit="mm", evidence=at) for code, what, value in sizes if value),
    ]


def _seen_in(beam: OnSpecimen) -> tuple[Ref, ...]:
    return (Ref("specimen", beam.specimen), *(Ref("scan", key) for key in beam.scans))


def _mm(beam: OnSpecimen) -> str | None:
    return "mm" if beam.margin_mm is not None else None


def _pumped(state: ShiftState, experiment: Experiment) -> Answer:
    """Without a word about where the beam lies."""
    loads = pump_downs(state.pumping)
    load = list(loads.values())[-1] if loads else None
    limit = experiment.limits.pressure_mbar
    detail = _told(load, limit)
    if load is None:
        return _untold(words.NO_READINGS, detail, words.NOTE_PRESSURE)
    if limit is None:
        return _untold(words.NO_LIMIT, detail, words.TYPE_LIMIT)
    if load.mbar[-1] <= limit:
        return _below(load, limit, detail)
    try:
        shapes = weigh(load.minutes, load.mbar, load.began)
    except ValueError as no:
        code = str(no).partition(":")[0]
        sentence = words.REFUSED[code].format(needed=FEWEST, found=len(load.minutes))
        return _untold(sentence, {**detail, "refused": code}, words.MORE_READINGS)
    return _forecast(load, experiment, shapes, detail)


def _forecast(load: PumpDown, experiment: Experiment, shapes: Shapes, detail: dict[str, Any]) -> Answer:
    limit, lock = experiment.limits.pressure_mbar, experiment.lock
    isolations = tuple(_rise(one) for one in load.isolations)
    cause, shapes = judged(shapes, limit, lock.dry_minutes, isolations)
    minutes = forecast(shapes, limit)
    detail |= {
        "minutes": minutes._asdict(),
        "cause": cause.code,
        "causes": {code: round(share, 3) for code, share in cause.shares.items()},
        "rises": cause.rises,
        "steps": [load.minutes[step] for step in shapes.steps],
        "fan": fan(shapes, _ahead(load, minutes)),
    }
    verdict = "stalled" if minutes.value is None else "not-yet"
    facts = (
        *_facts(load, limit, cause, detail),
        *_isolation_facts(load, isolations, cause.rises, lock.volume_l),
    )
    return Answer(
        "begin", verdict, words.sentence(verdict, detail), because=facts,
        would_change_it=_acts(load, cause, verdict), cautions=words.cautions(), detail=detail,
    )  # fmt: skip


def _below(load: PumpDown, limit: float, detail: dict[str, Any]) -> Answer:
    """Since the first of the last unbroken row of readings that are not above the limit."""
    above = np.flatnonzero(np.array(load.mbar) > limit)
    since = load.minutes[above[-1] + 1 if above.size else 0]
    count = int(len(load.mbar) - (above[-1] + 1 if above.size else 0))
    detail |= {
        "readings_below": count,
        "minutes": {"value": 0.0, "low": 0.0, "high": 0.0},
        "since": words.at_clock(load.zero, since),
        "since_min": since,
    }
    facts = (
        _reading(load),
        Fact("limit", words.THE_LIMIT, limit, unit="mbar"),
        Fact("below", words.below(count), float(load.minutes[-1] - since), unit="min"),
    )
    said = words.sentence("below-your-limit", detail)
    return Answer("begin", "below-your-limit", said, because=facts, cautions=words.cautions(), detail=detail)


def _told(load: PumpDown | None, limit: float | None) -> dict[str, Any]:
    """What any answer says: the readings as they were read."""
    detail: dict[str, Any] = {
        "minutes": NO_MINUTES,
        "cause": None,
        "interval": INTERVAL,
        "limit_mbar": limit,
    }
    if load is not None:
        detail |= {
            "load": load.load,
            "began_known": load.began,
            "zero": load.zero,
            "readings": {"minutes": list(load.minutes), "mbar": list(load.mbar)},
            "complaints": list(load.complaints),
        }
    return detail


def _untold(sentence: str, detail: dict[str, Any], act: str) -> Answer:
    return Answer(
        "begin", "cannot-tell", sentence, would_change_it=(act,), cautions=words.cautions(), detail=detail
    )


def _rise(one) -> TimedRise:
    return TimedRise(one.at_min, rise(np.array(one.seconds), np.array(one.mbar)))


def _ahead(load: PumpDown, minutes) -> float:
    """How far the fan reaches: beyond the interval's end, or as long again as it took so far."""
    so_far = load.minutes[-1] - load.minutes[0]
    if minutes.high is not None:
        return min(1.25 * minutes.high + 2.0, SHIFT_MIN)
    if minutes.value is not None:
        return min(1.6 * minutes.value + 2.0, SHIFT_MIN)
    return min(max(1.2 * so_far, 30.0), SHIFT_MIN)


def _reading(load: PumpDown) -> Fact:
    return Fact("reading", words.reading(load.zero, load.minutes[-1]), load.mbar[-1], unit="mbar")


def _facts(load: PumpDown, limit: float, cause: Cause, detail: dict[str, Any]) -> tuple[Fact, ...]:
    found = [
        _reading(load),
        Fact("limit", words.THE_LIMIT, limit, unit="mbar"),
        Fact("cause", f"{words.looks_like(cause.code)}. {words.WHY[cause.code]}"),
    ]
    others = [code for code, share in cause.shares.items() if code != cause.code and share >= SECOND_CAUSE]
    found += [Fact("other-cause", words.perhaps(code)) for code in others]
    if detail["steps"]:
        at = [words.at_clock(load.zero, step) for step in detail["steps"]]
        found.append(Fact("gauge-stepped", words.stepped(at)))
    return tuple(found)


def _isolation_facts(load: PumpDown, isolations, told: str, volume_l: float | None) -> tuple[Fact, ...]:
    found = []
    for one in isolations:
        what = words.isolated(words.at_clock(load.zero, one.at_min))
        found.append(Fact("rise", what, one.rise.mbar_per_s, one.rise.sigma or None, "mbar/s"))
    if isolations and volume_l is not None:
        comes_in = leak_mbar_l_per_s(volume_l, isolations[-1].rise.mbar_per_s)
        found.append(Fact("comes-in", words.COMES_IN, comes_in, unit="mbar L/s"))
    if words.RISES[told]:
        found.append(Fact("rises", words.RISES[told]))
    return tuple(found)


def _acts(load: PumpDown, cause: Cause, verdict: str) -> tuple[str, ...]:
    acts = []
    if cause.rises not in ("same", "less") and (cause.code == "leak" or verdict == "stalled"):
        acts.append(words.ISOLATE)
    if cause.code == "normal-or-wet":
        acts.append(words.DRY)
    if cause.code == "wet":
        acts.append(words.DRIER)
    if not load.began:
        acts.append(words.BEGAN)
    return tuple(acts)
