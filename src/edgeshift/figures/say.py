"""What may we say aloud? The claim as it was said, the claim levels, what is missing, the stress."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.records.answer import Answer
from edgeshift.records.figure import (
    Bench,
    ClaimLevel,
    Figure,
    Need,
    RungState,
    Spoken,
    StepState,
    Stress,
)
from edgeshift.wording import say as words
from edgeshift.wording.numbers import with_give_or_take

RUNG: Mapping[str, RungState] = {"met": "lit", "not-met": "not-shown"}
STEP: Mapping[str, StepState] = {"met": "answered", "not-met": "empty", "cannot-tell": "cannot-tell"}


def figure(answer: Answer) -> Figure:
    """The bench of one claim."""
    detail = answer.detail
    levels = tuple(
        ClaimLevel(
            one["level"], one["words"], RUNG.get(one["state"], "cannot-test"), one["level"] == detail["asked"]
        )
        for one in detail["levels"]
    )
    needs = tuple(_need(one["level"], need) for one in detail["levels"] for need in one["needs"])
    missing = tuple(_need(need["level"], need) for need in detail["missing"])
    kinds = (detail["survives"] or {}).get("kinds", {})
    stress = tuple(Stress(words.stress_kind(kind), one["kept"], one["tried"]) for kind, one in kinds.items())
    bench = Bench(_said(detail["claim"]), levels, needs, missing, stress)
    return Figure("say", answer.marked, (bench,), _alt(answer, bench))


def _said(claim: Mapping[str, Any]) -> tuple[Spoken, ...]:
    """People's own words, letter for letter, each part behind its lead."""
    grounds = (Spoken(lead, claim[part]) for part, lead in words.LEADS.items() if claim[part])
    return (Spoken("", claim["claim"]), *grounds)


def _need(level: int, need: Mapping[str, Any]) -> Need:
    number = (
        "" if need["value"] is None else with_give_or_take(need["value"], need["uncertainty"], need["unit"])
    )
    return Need(level, need["what"], STEP.get(need["state"], "not-yet"), number, need["act"])


def _alt(answer: Answer, bench: Bench) -> str:
    told = [answer.sentence, words.said_alt(bench.said[0].words)]
    told += [words.missing_alt(need.level, need.told) for need in bench.missing]
    told += [words.stress_alt(one.words, one.kept, one.tried) for one in bench.stress]
    return " ".join(told)
