"""The strip: six questions, each with the state of its answer and the answer itself in a breath."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from edgeshift.errors import Refusal
from edgeshift.figures.ladders import RUNGS
from edgeshift.records.answer import QUESTIONS, Answer
from edgeshift.records.figure import StepState
from edgeshift.wording import stations as words

Known = Mapping[str, Sequence[Answer] | Refusal]
"""By question: its answers, or the refusal where it could not be asked. A question not asked is not there."""
SETTLED = ("units", "not-shown", "no-change")
"""Verdicts of "real" that say all that one edge can say about the treatment."""


class Station(NamedTuple):
    """One question of the strip: the state that its mark draws, and about fourteen characters of words."""

    question: str
    state: StepState
    words: str


def stations(known: Known) -> tuple[Station, ...]:
    """All six, in their order; whatever was not asked yet says so."""
    return tuple(_station(question, known) for question in QUESTIONS)


def _station(question: str, known: Known) -> Station:
    found = known.get(question)
    if found is None:
        return Station(question, "not-yet", words.NOT_YET)
    if isinstance(found, Refusal):
        return Station(question, "failed", words.REFUSED)
    if not found:
        return Station(question, "empty", words.NOTHING)
    return Station(question, *_TOLD[question](found))


def _begin(found: Sequence[Answer]) -> tuple[StepState, str]:
    detail, verdict = found[-1].detail, found[-1].verdict
    if verdict == "below-your-limit":
        return "answered", words.since(detail["since"]) if detail.get("since") else words.BELOW
    if verdict == "stalled":
        return "cannot-tell", words.STALLED
    minutes = detail.get("minutes") or {}
    if verdict == "not-yet" and minutes.get("low") is not None:
        return "cannot-tell", words.begin_minutes(minutes["low"], minutes.get("high"))
    return ("not-yet", words.NOT_YET) if verdict == "not-yet" else ("cannot-tell", words.CANNOT_TELL)


def _here(found: Sequence[Answer]) -> tuple[StepState, str]:
    """Elements seen; `detail["elements"]` maps each to what was found, or lists it, with its verdict."""
    seen = {name for answer in found for name in _seen(answer.detail.get("elements") or ())}
    if all(answer.verdict == "cannot-tell" for answer in found):
        return "cannot-tell", words.CANNOT_TELL
    state = "answered" if all(answer.verdict == "answered" for answer in found) else "partly"
    return state, words.elements(len(seen)) if seen else words.NOTHING


def _seen(elements: Any) -> list[str]:
    told = (
        elements.items() if isinstance(elements, Mapping) else [(one.get("element"), one) for one in elements]
    )
    return [name for name, one in told if one.get("verdict") == "seen"]


def _trust(found: Sequence[Answer]) -> tuple[StepState, str]:
    scans = [
        scan
        for answer in found
        for scan in (answer.detail.get("scans") or {}).values()
        if not scan.get("copy_of")
    ]
    aside = sum(scan["verdict"] == "set-aside" for scan in scans)
    if not scans:
        return "empty", words.NOTHING
    if len(scans) == 1:
        return ("cannot-tell" if aside else "answered"), words.one_trace(scans[0]["verdict"])
    state = "answered" if not aside else "partly" if aside < len(scans) else "cannot-tell"
    return state, words.scans(len(scans) - aside, aside)


def _real(found: Sequence[Answer]) -> tuple[StepState, str]:
    """One edge by its rungs, several by those whose units rung is lit; control edges do not count."""
    each = [answer for answer in found if answer.edge is not None]
    family = [one for one in each if one.detail.get("role") in (None, "family")] or each
    if not family:
        return "empty", words.NOTHING
    if any(one.detail.get("role") == "control" and one.verdict == "units" for one in each):
        return "partly", words.CONTROL_EDGE
    verdicts = {one.verdict for one in family}
    state: StepState = "partly"
    if verdicts == {"cannot-tell"}:
        return "cannot-tell", words.CANNOT_TELL
    if verdicts <= set(SETTLED):
        state = "answered"
    if len(family) == 1 or len(verdicts) == 1:
        return state, _alike(family)
    lit = [str(one.edge) for one in family if one.verdict == "units"]
    unsettled = [str(one.edge) for one in family if one.verdict not in SETTLED]
    return state, words.edges(lit, unsettled, len(family))


def _alike(family: Sequence[Answer]) -> str:
    """The one edge, or all of them where their verdicts agree: the rungs that are lit in every one."""
    verdict = family[0].verdict
    if verdict in ("not-shown", "no-change"):
        return words.NOT_SHOWN if verdict == "not-shown" else words.NO_CHANGE
    lit = min(sum(state == "lit" for state in one.detail["rungs"].values()) for one in family)
    return words.OTHER_UNITS if verdict == "units" and lit < len(RUNGS) else words.rungs(lit)


def _minutes(found: Sequence[Answer]) -> tuple[StepState, str]:
    if found[-1].verdict == "cannot-tell":
        return "cannot-tell", words.CANNOT_TELL
    return "partly", words.cards(len(found[-1].detail.get("cards") or ()))


def _say(found: Sequence[Answer]) -> tuple[StepState, str]:
    carried = sum(answer.verdict == "carried" for answer in found)
    state = "answered" if carried == len(found) else "partly" if carried else "not-yet"
    return state, words.claims(carried, len(found) - carried)


_TOLD: Mapping[str, Callable[[Sequence[Answer]], tuple[StepState, str]]] = {
    "begin": _begin,
    "here": _here,
    "trust": _trust,
    "real": _real,
    "minutes": _minutes,
    "say": _say,
}
