"""The design interview before a shift: plain questions in; what the design can show, and its text, out."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from edgeshift.errors import TextRefused
from edgeshift.planning.design_answer import answer_of
from edgeshift.planning.design_text import text_of
from edgeshift.planning.interview import Question, Step, walk
from edgeshift.planning.spare_keys import spare_keys
from edgeshift.records.answer import Answer
from edgeshift.wording.interview import unknown_keys

Ask = Callable[[Question], str]
__all__ = ["Ask", "Designed", "Question", "Step", "as_file", "designed", "interview", "walk"]


@dataclass(frozen=True)
class Designed:
    """A finished interview: what was answered, what the design can show, and the experiment text."""

    answers: Mapping[str, str]
    answer: Answer
    text: str


def interview(ask: Ask, keys: Sequence[str] = (), name: str = "") -> Designed:
    """Ask until the design stands. TextRefused for an answer without sense.

    `keys` are all that a file of that name holds: what this design does not need is told, what no design
    would be asked is refused, all of it at once.
    """
    answers: dict[str, str] = {}
    step = walk(answers)
    while step.question is not None:
        answers[step.question.key] = ask(step.question)
        step = walk(answers)
    unneeded, unknown = spare_keys(keys, answers, step.design)
    if unknown:
        needed = "keys that the interview asks"
        raise TextRefused(name, needed, unknown_keys(unknown), "Mend or drop them.")
    return designed(step, unneeded)


def designed(step: Step, unneeded: Sequence[str] = ()) -> Designed:
    """What comes of a walk that has reached its design; `unneeded` keys were offered and not asked for."""
    answers = {question.key: text for question, text in step.asked}
    return Designed(answers, answer_of(step.design, answers, unneeded), text_of(step.design))


def as_file(answers: Mapping[str, str]) -> str:
    """The answers as a file for `edgeshift new --from`; blank ones stay away."""
    lines = [f"{_said(key)}: {_said(text)}" for key, text in answers.items() if text.strip()]
    return "\n".join(lines) + "\n"


def _said(text: str) -> str:
    """A word that YAML reads back as the same word (a JSON scalar is one)."""
    return json.dumps(text, ensure_ascii=False)
