"""One comparison's answer: verdict, sentence, reasons, and every number of its picture."""

from __future__ import annotations

from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.companion import companion
from edgeshift.questions.real.detail import detail_of
from edgeshift.questions.real.facts import facts_of
from edgeshift.questions.real.look_facts import look_cautions, look_facts
from edgeshift.questions.real.one_more import one_more_facts
from edgeshift.questions.real.rungs import RUNGS
from edgeshift.records.answer import Answer
from edgeshift.records.edge_set import EdgeSet
from edgeshift.reduction.steps.scale import NO_STEP
from edgeshift.wording import real as words


def edge_answer(asked: Asked, levels: dict[str, float], edge_set: EdgeSet, others: bool) -> Answer:
    """The answer for one edge and one treated arm, judged at these levels; `others` are in its family."""
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
    exact = companion(asked) if states["units"] != "cannot-test" else None
    detail = detail_of(asked, states, levels, exact)
    verdict = _verdict(asked, states, levels["units"])
    return Answer(
        "real",
        verdict,
        words.sentence(verdict, states, detail),
        asked.edge,
        because=(
            *facts_of(asked, states, levels, edge_set),
            *look_facts(asked, exact),
            *one_more_facts(detail),
        ),
        would_change_it=words.would_change_it(states, detail, asked.judged.act, verdict),
        cautions=words.cautions(detail, (*_doubts(edge_set), *look_cautions(asked, states, others))),
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


def _verdict(asked: Asked, states: dict[str, str], level: float) -> str:
    """The highest lit rung; "no change" only against a difference declared to matter, inside the interval."""
    lit = [rung for rung in RUNGS if states[rung] == "lit"]
    if states["units"] == "not-shown" and _within_what_matters(asked, level):
        return "no-change"
    if lit:
        return lit[-1]
    return "not-shown" if states["units"] == "not-shown" else "cannot-tell"


def _within_what_matters(asked: Asked, level: float) -> bool:
    """Whether the interval of the units as they were judged lies inside what was declared beforehand to
    matter."""
    matters = asked.comparison.matters
    if not matters or asked.comparison.matters_after or not asked.feature_judges("units"):
        return False
    found = asked.evidence("units")
    return abs(float(found.difference[0])) + float(found.band(level).half_width[0]) < matters
