"""One comparison's answer: verdict, sentence, reasons, and every number of its picture."""

from __future__ import annotations

from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.detail import detail_of
from edgeshift.questions.real.facts import facts_of
from edgeshift.questions.real.rungs import RUNGS
from edgeshift.records.answer import Answer
from edgeshift.records.edge_set import EdgeSet
from edgeshift.reduction.steps.scale import NO_STEP
from edgeshift.wording import real as words


def edge_answer(asked: Asked, levels: dict[str, float], edge_set: EdgeSet) -> Answer:
    """The answer for one edge and one treated arm, judged at these levels."""
    if asked.nest is None:
        kept = {spot.place.arm for spot in edge_set.spots} & {asked.control, asked.treated}
        return Answer(
            "real",
            "cannot-tell",
            words.nothing_to_compare(asked.edge, len(kept)),
            asked.edge,
            would_change_it=(words.measure_both(asked.control, asked.treated),),
            detail={"edge": asked.edge, "rungs": dict.fromkeys(RUNGS, "cannot-test")},
        )
    states = {rung: _state(asked, rung, levels[rung]) for rung in RUNGS}
    detail = detail_of(asked, states, levels)
    verdict = _verdict(asked, states, detail)
    return Answer(
        "real",
        verdict,
        words.sentence(verdict, states, detail),
        asked.edge,
        because=facts_of(asked, states, levels, edge_set),
        would_change_it=words.would_change_it(states, detail),
        cautions=words.cautions(detail, _doubts(edge_set)),
        detail=detail,
    )


def _doubts(edge_set: EdgeSet) -> tuple[str, ...]:
    """What the reduction doubted, each once; why there is no usable step has a caution of its own."""
    every = dict.fromkeys(doubt for spot in edge_set.spots for doubt in spot.doubts)
    return tuple(doubt for doubt in every if not doubt.startswith(NO_STEP))


def _state(asked: Asked, rung: str, level: float) -> str:
    if not asked.testable(rung):
        return "cannot-test"
    return "lit" if asked.evidence(rung).chance <= level else "not-shown"


def _verdict(asked: Asked, states: dict[str, str], detail: dict) -> str:
    """The highest lit rung; "no change" only against a difference declared to matter, inside the interval."""
    lit = [rung for rung in RUNGS if states[rung] == "lit"]
    within = _within_what_matters(asked, states, detail)
    if states["units"] == "not-shown" and within:
        return "no-change"
    if lit:
        return lit[-1]
    return "not-shown" if states["units"] == "not-shown" else "cannot-tell"


def _within_what_matters(asked: Asked, states: dict[str, str], detail: dict) -> bool:
    matters, feature = asked.comparison.matters, detail.get("feature")
    if not matters or not feature or not asked.by_feature or feature["rung"] != "units":
        return False
    return -matters < feature["low"] and feature["high"] < matters
