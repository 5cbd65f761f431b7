"""The strip: six questions, each with the state of its answer and the answer itself in a breath."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import NamedTuple

from edgeshift.errors import Refusal
from edgeshift.figures.ladders import RUNGS
from edgeshift.records.answer import QUESTIONS, Answer
from edgeshift.records.figure import StepState
from edgeshift.wording import stations as words
from edgeshift.wording.names import scan_words
from edgeshift.wording.screen import ENGLISH, Say

Known = Mapping[str, Sequence[Answer] | Refusal]
"""By question: its answers, or the refusal where it could not be asked. A question not asked is not there."""
SETTLED = ("units", "not-shown", "no-change")
"""Verdicts of "real" that say all that one edge can say about the treatment."""


class Station(NamedTuple):
    """One question of the strip: the state that its mark draws, and about fourteen characters of words."""

    question: str
    state: StepState
    words: str


def stations(known: Known, say: Say = ENGLISH, asking: Collection[str] = ()) -> tuple[Station, ...]:
    """All six, in their order; whatever was not asked yet says so, or that it is of the `asking`."""
    return tuple(
        Station(question, "not-yet", say("station.asking"))
        if question in asking
        else _station(question, known, say)
        for question in QUESTIONS
    )


def _station(question: str, known: Known, say: Say) -> Station:
    found = known.get(question)
    if found is None:
        return Station(question, *_not_yet(say))
    if isinstance(found, Refusal):
        refused: tuple[StepState, str] = ("failed", say("station.refused"))
        return Station(question, *(refused if _has_scans(known) else _not_yet(say)))
    if not found:
        return Station(question, "empty", say("station.nothing"))
    return Station(question, *_TOLD[question](found, say))


def _not_yet(say: Say) -> tuple[StepState, str]:
    return "not-yet", say("station.not-yet")


def _cannot_tell(say: Say) -> tuple[StepState, str]:
    return "cannot-tell", say("station.cannot-tell")


def _has_scans(known: Known) -> bool:
    """Before the first scan nothing was refused: there is nothing yet. Where nobody says, there are some."""
    trust = known.get("trust")
    return not isinstance(trust, Sequence) or any(answer.detail.get("scans") for answer in trust)


def _begin(found: Sequence[Answer], say: Say) -> tuple[StepState, str]:
    detail, verdict = found[-1].detail, found[-1].verdict
    if verdict == "below-your-limit":
        return "answered", words.since(say, detail.get("since"))
    if verdict == "stalled":
        return "cannot-tell", say("station.stalled")
    minutes = detail.get("minutes") or {}
    if verdict == "not-yet" and minutes.get("low") is not None:
        return "cannot-tell", words.begin_minutes(say, minutes["low"], minutes.get("high"))
    untold = verdict == "not-yet" or "readings" not in detail
    return _not_yet(say) if untold else _cannot_tell(say)


def _here(found: Sequence[Answer], say: Say) -> tuple[StepState, str]:
    """Elements seen, and as of which scan where more came since."""
    elements = {name: one for answer in found for name, one in (answer.detail.get("elements") or {}).items()}
    seen = [name for name, one in elements.items() if one["verdict"] == "seen"]
    if not elements:
        return _not_yet(say)
    if all(answer.verdict == "cannot-tell" for answer in found):
        return _cannot_tell(say)
    state = "answered" if all(answer.verdict == "answered" for answer in found) else "partly"
    scan = found[0].detail.get("as_of")
    if scan:
        return state, say("station.elements-as-of", number=len(seen), scan=scan_words(scan))
    return state, say.several("station.elements", len(seen)) if seen else say("station.none-seen")


def _trust(found: Sequence[Answer], say: Say) -> tuple[StepState, str]:
    scans = [
        scan
        for answer in found
        for scan in (answer.detail.get("scans") or {}).values()
        if not scan.get("copy_of")
    ]
    aside = sum(scan["verdict"] == "set-aside" for scan in scans)
    if not scans:
        return "empty", say("station.nothing")
    if len(scans) == 1:
        return ("cannot-tell" if aside else "answered"), say(f"station.{scans[0]['verdict']}")
    state = "answered" if not aside else "partly" if aside < len(scans) else "cannot-tell"
    return state, words.scans(say, len(scans) - aside, aside)


def _real(found: Sequence[Answer], say: Say) -> tuple[StepState, str]:
    """One edge by its rungs, several by those whose units rung is lit; control edges do not count."""
    each = [answer for answer in found if answer.edge is not None]
    family = [one for one in each if one.detail.get("role") in (None, "family")] or each
    if not family:
        return "empty", say("station.nothing")
    if any(one.detail.get("role") == "control" and one.verdict == "units" for one in each):
        return "partly", say("station.control-edge")
    verdicts = {one.verdict for one in family}
    state: StepState = "partly"
    if verdicts == {"cannot-tell"}:
        return _cannot_tell(say)
    if verdicts <= set(SETTLED):
        state = "answered"
    if len(family) == 1 or len(verdicts) == 1:
        return state, _alike(say, family)
    lit = [str(one.edge) for one in family if one.verdict == "units"]
    unsettled = [str(one.edge) for one in family if one.verdict not in SETTLED]
    return state, words.edges(say, lit, unsettled, len(family))


def _alike(say: Say, family: Sequence[Answer]) -> str:
    """The one edge, or all of them where their verdicts agree: the rungs that are lit in every one."""
    verdict = family[0].verdict
    if verdict in ("not-shown", "no-change"):
        return say(f"station.{verdict}")
    lit = min(sum(state == "lit" for state in one.detail["rungs"].values()) for one in family)
    return (
        say("station.other-units")
        if verdict == "units" and lit < len(RUNGS)
        else say.several("station.rungs", lit)
    )


def _minutes(found: Sequence[Answer], say: Say) -> tuple[StepState, str]:
    if found[-1].verdict == "cannot-tell":
        nothing = found[-1].detail.get("minutes_left") is not None
        return _not_yet(say) if nothing else _cannot_tell(say)
    return "partly", say.several("station.choices", len(found[-1].detail.get("cards") or ()))


def _say(found: Sequence[Answer], say: Say) -> tuple[StepState, str]:
    if not any("claim" in answer.detail for answer in found):
        return _not_yet(say)
    carried = sum(answer.verdict == "carried" for answer in found)
    state = "answered" if carried == len(found) else "partly" if carried else "not-yet"
    return state, words.claims(say, carried, len(found) - carried)


_TOLD: Mapping[str, Callable[[Sequence[Answer], Say], tuple[StepState, str]]] = {
    "begin": _begin,
    "here": _here,
    "trust": _trust,
    "real": _real,
    "minutes": _minutes,
    "say": _say,
}
