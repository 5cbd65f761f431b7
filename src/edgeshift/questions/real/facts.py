"""The reasons behind a verdict, each with its number, its give-or-take and what it rests on."""

from __future__ import annotations

import math

import numpy as np

from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.features import feature_words
from edgeshift.questions.real.half_step import half_step
from edgeshift.questions.real.nest import Nest
from edgeshift.questions.real.rungs import RUNGS
from edgeshift.questions.real.two_bands import bands, passed
from edgeshift.records.answer import Fact, Ref
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.steps.rates import dead_share
from edgeshift.wording import real as words
from edgeshift.wording.bands import minus


def facts_of(
    asked: Asked, states: dict[str, str], levels: dict[str, float], edge_set: EdgeSet
) -> tuple[Fact, ...]:
    """All reasons, the most telling first."""
    nest = asked.nest
    facts = [
        *_difference(asked, levels),
        *(_rung(asked, rung, states[rung], levels[rung]) for rung in reversed(RUNGS)),
        _units(nest),
        *_curves(asked, levels),
        *half_step(asked, levels),
        *_spread(asked),
        *_dead_time(nest, edge_set),
    ]
    return tuple(facts)


def _difference(asked: Asked, levels: dict[str, float]) -> list[Fact]:
    if asked.ladder.features is None:
        return []
    rung = next((r for r in reversed(RUNGS) if asked.ladder.features[r].testable), None)
    found = asked.ladder.features[rung or "units"]
    control, treated = (np.mean([u.feature for u in units]) for _, units in asked.nest.arms)
    half = float(found.band(levels[rung]).half_width[0]) if rung else None
    return [
        Fact(
            "feature-difference",
            words.feature_difference(
                feature_words(asked.comparison.feature),
                minus(asked.control, asked.treated),
                rung,
                asked.judged_as_shown(rung or "units"),
            ),
            float(treated - control),
            half,
            None,
            _refs(asked.nest),
        )
    ]


def _curves(asked: Asked, levels: dict[str, float]) -> list[Fact]:
    """Beside the bands of the highest rung that the whole curve passes, else of the highest testable one."""
    testable = [r for r in reversed(RUNGS) if asked.ladder.curves[r].testable]
    if not testable:
        return []
    rung = next((r for r in testable if _passed(asked, r, levels[r])), testable[0])
    return [*_largest(asked, rung, levels[rung]), *_bands(asked, rung, levels[rung])]


def _largest(asked: Asked, rung: str, level: float) -> list[Fact]:
    """The largest difference beside the full band.

    A curve may pass its band at another place than where it differs most; then both places are told.
    """
    nest, found = asked.nest, asked.ladder.curves[rung]
    half = found.band(level).half_width
    unit = words.height_unit(nest.curve_unit)

    def told(code: str, text: str, at: int) -> Fact:
        return Fact(code, text, float(nest.difference[at]), float(half[at]), unit)

    most, farthest = int(np.argmax(np.abs(nest.difference))), found.farthest()
    energies = [float(nest.energy_ev[at]) for at in (most, farthest)]
    facts = [
        told(
            "largest-difference",
            words.largest_difference(energies[0], rung, asked.judged_as_shown(rung)),
            most,
        ),
        Fact("largest-difference-energy", words.largest_at(), energies[0], None, "eV"),
    ]
    if "full" in _passed(asked, rung, level) and abs(nest.difference[most]) <= half[most]:
        facts.append(told("beyond-its-band", words.beyond_its_band(energies[1], rung), farthest))
    return facts


def _bands(asked: Asked, rung: str, level: float) -> list[Fact]:
    """What each band is of and whether it leaves zero; of the shape also where."""
    judged, out = asked.judged_as_shown(rung), _passed(asked, rung, level)
    both = bands(asked.ladder.curves[rung], level)
    which = minus(asked.control, asked.treated)
    facts = [Fact(f"{name}-band", words.band_of(name, name in out, which, rung, judged)) for name in both]
    if "shape" in out:
        evidence, band = both["shape"]
        at = evidence.farthest()
        told = words.shape_beyond_its_band(float(asked.nest.energy_ev[at]), rung)
        unit = words.height_unit(asked.nest.curve_unit)
        size, half = float(band.difference[at]), float(band.half_width[at])
        facts.append(Fact("shape-beyond-its-band", told, size, half, unit))
    return facts


def _passed(asked: Asked, rung: str, level: float) -> list[str]:
    """The bands of a rung that leave zero. Between its looks the third rung is not looked at."""
    return passed(asked.ladder.curves[rung], level) if asked.judged_as_shown(rung) else []


def _rung(asked: Asked, rung: str, state: str, level: float) -> Fact:
    found = asked.evidence(rung)
    if state == "cannot-test":
        return Fact(f"{rung}-cannot-test", words.rung_untested(rung, found.words))
    if state == "not-shown":
        return Fact(
            f"{rung}-not-shown",
            words.rung_not_shown(rung),
            found.would_have_shown(level),
            None,
            None if asked.feature_judges(rung) else words.height_unit(asked.nest.curve_unit),
        )
    return Fact(f"{rung}-lit", words.rung_lit(rung), None, None, None)


def _units(nest: Nest) -> Fact:
    counts = " and ".join(f"{len(units)} of {Ref('arm', arm).token()}" for arm, units in nest.arms)
    return Fact("units", words.units(counts, nest.paired), evidence=_refs(nest))


def _spread(asked: Asked) -> list[Fact]:
    """How far the feature's difference moves with another sane baseline, and with the energy ties."""
    if asked.ladder.features is None:
        return []
    facts = []
    for name, code in (("baseline choice", "baseline-spread"), ("energy tie", "tie-spread")):
        moved = _moved_by(asked, name)
        if moved is not None:
            facts.append(Fact(code, words.spread(name), moved))
    return facts


def _moved_by(asked: Asked, name: str) -> float | None:
    """One s.d. of the named shared terms, as a change of the feature's difference; None: no such term.

    Terms with one cause move both arms together and are added with sign before they are squared.
    """
    by_cause: dict[str, float] = {}
    for sign, (_, units) in zip((-1, 1), asked.nest.arms, strict=True):
        for unit in units:
            for weight, spot in zip(unit.weights, unit.spots, strict=True):
                for move in (m for m in spot.moves if m.name == name):
                    change = sign * float(weight) * move.change / len(units)
                    by_cause[move.cause] = by_cause.get(move.cause, 0.0) + change
    return math.sqrt(sum(c**2 for c in by_cause.values())) if by_cause else None


def _dead_time(nest: Nest, edge_set: EdgeSet) -> list[Fact]:
    """The largest share of light each arm's counter missed, where it is worth a note."""
    facts = []
    for arm, units in nest.arms:
        keys = {key for u in units for s in u.spots for key in s.spectrum.scans}
        shares = [share for p in edge_set.passes if p.scan.key in keys and (share := _lost(p)) is not None]
        if shares and max(shares) > edge_set.recipe.rates.note_dead_time:
            told = words.dead_time(Ref("arm", arm).token())
            facts.append(Fact("dead-time", told, 100 * float(np.mean(shares)), None, "%", (Ref("arm", arm),)))
    return facts


def _lost(each: Pass) -> float | None:
    share = dead_share(each.scan.channels[each.scan.signal], each.scan.dwell_s)
    return None if share is None else float(np.max(share))


def _refs(nest: Nest) -> tuple[Ref, ...]:
    return tuple(Ref("unit", u.unit) for _, units in nest.arms for u in units)
