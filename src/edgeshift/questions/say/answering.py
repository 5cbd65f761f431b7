"""One claim's answer: the level asked beside the level carried, what is missing, and how it bears stress."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from edgeshift.questions.say.grounds import Grounds
from edgeshift.questions.say.ladder import Step, beneath, carried, ladder, missing, stands
from edgeshift.questions.say.needs import Need
from edgeshift.questions.say.stress import Tally, as_told
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.room import Claim
from edgeshift.wording import say as words
from edgeshift.wording.rounds import LEVELS

LEVEL_OF_DIFFERENCES = 2
"""From here on a claim compares, and a texture may pose as a difference."""
LEAST_TURN_DEG = 15.0
"""Two angles nearer to one another than this tell no texture (our choice, no source)."""


def nothing_said() -> Answer:
    """Where no claim stands."""
    return Answer("say", "cannot-tell", words.NOTHING_SAID, would_change_it=(words.SAY_IT,))


def answer(
    claim: Claim, grounds: Grounds, tally: Tally | None = None, called: Mapping[str, str] = {}
) -> Answer:
    """The answer to one standing claim. `tally` is None where no stress was tried yet; `called` maps the
    names in it to those behind a curtain.

    The claim's own words stand in `detail["claim"]` as they were said; nothing here reads them.
    """
    steps = ladder(claim, grounds)
    reached, lacking = carried(steps, claim.level), missing(steps, claim.level)
    survives = as_told(tally, called) if tally else None
    verdict = _verdict([need for _, need in lacking])
    return Answer(
        "say",
        verdict,
        words.sentence(verdict, claim.level, reached),
        claim.edge,
        because=(*_facts(steps, claim.level), *_tally_facts(survives)),
        would_change_it=tuple(dict.fromkeys(need.act for _, need in lacking if need.act)),
        cautions=_cautions(claim, grounds, survives),
        detail={
            "claim": _words_of(claim),
            "asked": claim.level,
            "carried": reached,
            "levels": [_level(steps, level, claim.level) for level in range(len(steps))],
            "missing": [{"level": level, **_told(need)} for level, need in lacking],
            "survives": survives,
        },
    )


def _verdict(lacking: list[Need]) -> str:
    if not lacking:
        return "carried"
    return "not-carried" if any(need.state == "not-met" for need in lacking) else "cannot-tell"


def _words_of(claim: Claim) -> dict[str, Any]:
    """What people said, letter for letter, and what kind of claim they said it is."""
    feature = dict(claim.feature) if claim.feature is not None else None
    return {
        "line": claim.number,
        "claim": claim.claim,
        "evidence": claim.evidence,
        "reason": claim.reason,
        "unless": claim.unless,
        "feature": feature,
        "arms": sorted(claim.arms),
        "higher": claim.higher,
        "by_group": claim.by is None,
    }


def _level(steps: tuple[Step, ...], level: int, asked: int) -> dict[str, Any]:
    return {
        "level": level,
        "words": LEVELS[level],
        "state": stands(steps, level),
        "asked": level in beneath(asked) and level <= asked,
        "needs": [_told(need) for need in steps[level].needs],
    }


def _told(need: Need) -> dict[str, Any]:
    told = asdict(need)
    del told["design"]
    return told


def _facts(steps: tuple[Step, ...], asked: int) -> tuple[Fact, ...]:
    """Every need of what is asked, met or not, with its number; the highest level first."""
    return tuple(
        Fact(
            f"{need.code}-{need.state}",
            words.need(step.level, need.what, need.state),
            need.value,
            need.uncertainty,
            need.unit,
            (Ref("edge", need.edge),) if need.edge else (),
        )
        for step in reversed(steps)
        for need in step.needs
        if step.level in beneath(asked) and step.level <= asked
    )


def _tally_facts(survives: Mapping[str, Any] | None) -> tuple[Fact, ...]:
    if survives is None:
        return ()
    return tuple(
        Fact(f"stress-{kind}", words.still_true(kind, one["kept"], one["tried"]))
        for kind, one in survives["kinds"].items()
    )


def _cautions(claim: Claim, grounds: Grounds, survives: Mapping[str, Any] | None) -> tuple[str, ...]:
    said = [words.OWN_WORDS]
    if claim.level >= LEVEL_OF_DIFFERENCES:
        said += [words.TEXTURE] if texture_open(grounds.experiment) else []
        said += grounds.real.cautions if grounds.real else ()
    return (*said,) if survives else (*said, words.NO_STRESS)


def texture_open(experiment: Experiment) -> bool:
    """Whether the matter has a texture and was measured at no second angle."""
    matter, first = experiment.matter, experiment.beamline.incidence_deg
    if matter is None or not matter.layered:
        return False
    second = matter.second_angle_deg
    return second is None or first is None or abs(second - first) < LEAST_TURN_DEG
