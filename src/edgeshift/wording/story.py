"""The story of a shift in words: one line a moment, short enough to be read aloud in a minute."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC
from typing import Any

from edgeshift.errors import QuestionRefused
from edgeshift.records.answer import Answer
from edgeshift.records.event import PEOPLE, Event
from edgeshift.records.room import Round
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import ShiftState, moment
from edgeshift.records.story import KINDS, OneLine, Story, StoryMoment
from edgeshift.wording.day import clock
from edgeshift.wording.names import scan_words
from edgeshift.wording.numbers import count

MOST_WORDS = 200
"""Read at three to four words a second, an easy pace (our choice, no source), this takes one minute."""
ANSWERS = 0.7
"""At most so much of it goes to the answers: a shift of ten edges has also a day (our choice, no source)."""
MOST_OWN = 14
"""Of people's own words a short telling gives so many."""
Clock = Callable[[str], str]
_WORD = re.compile(r"[^\W_]+(?:[.:,'’-][^\W_]+)*")
NOTHING = "Nothing has happened yet."


def told(
    question: str,
    state: ShiftState,
    scans: Iterable[Scan],
    answers: Sequence[Answer],
    by_day: Clock = str,
) -> Story:
    """The whole story of a state: its moments by the clock `by_day`, and its answers in one line each.

    `scans` give edges and their own times, `answers` what was set aside and why.
    """
    lines = tuple(OneLine(a.question, a.edge, a.verdict, a.sentence, a.identity) for a in answers)
    moments = tuple(_together(moments_in(state, scans, answers, by_day)))
    return Story(question, moments, lines, state.until)


def moments_in(
    state: ShiftState, scans: Iterable[Scan], answers: Sequence[Answer], by_day: Clock = str
) -> list[StoryMoment]:
    """Every moment in order, each scan one of its own."""
    judged = {
        one["scan"]: one
        for answer in answers
        if answer.question == "trust"
        for one in answer.detail.get("scans", {}).values()
        if not one.get("copy_of")
    }
    found = [*_scans(state, scans, judged, by_day), *_acts(state, by_day)]
    return sorted(found, key=lambda one: (moment(one.time), one.lines))


def shortened(story: Story, most: int = MOST_WORDS) -> Story:
    """The story in at most so many words: its answers, then as many moments as there is room for.

    Answers that sum up come before those of one edge, what people claimed and decided before all else that
    happened, the newest before the oldest; quotations are cut. Nothing is told out of order.
    """
    question = _length([story.question, left_out(10)])
    by_edge = sorted(range(len(story.answers)), key=lambda at: story.answers[at].edge is not None)
    said = _that_fit(by_edge, [answer_line(one) for one in story.answers], most * ANSWERS - question)
    answers = tuple(one for at, one in enumerate(story.answers) if at in said)
    cut = [replace(one, own=_cut(one.own)) for one in story.moments]
    by_weight = sorted(range(len(cut)), key=lambda at: (KINDS.index(cut[at].kind), -at))
    room = most - question - _length(answer_line(one) for one in answers)
    kept = _that_fit(by_weight, [moment_line(one) for one in cut], room)
    moments = tuple(one for at, one in enumerate(cut) if at in kept)
    gone = len(cut) - len(moments) + len(story.answers) - len(answers)
    return replace(story, moments=moments, answers=answers, left_out=story.left_out + gone)


def _that_fit(order: Iterable[int], lines: Sequence[str], room: float) -> set[int]:
    """Which of the lines, tried in this order, fit into so many words."""
    kept: set[int] = set()
    for at in order:
        needs = _length([lines[at]])
        if needs <= room:
            kept.add(at)
            room -= needs
    return kept


def as_lines(story: Story) -> list[str]:
    """Every line of it, with name tokens in them."""
    lines = [story.question] if story.question else []
    lines += [moment_line(one) for one in story.moments] or [NOTHING]
    lines += [left_out(story.left_out)] if story.left_out else []
    return [*lines, *(answer_line(one) for one in story.answers)]


def moment_line(one: StoryMoment) -> str:
    """One moment behind its time of the day."""
    return f"{clock(moment(one.time), 0)}  {sentence(one)}"


def sentence(one: StoryMoment) -> str:
    """The same without its time: our words, then people's own."""
    return f"{one.words} “{one.own}”" if one.own else one.words


def answer_line(one: OneLine) -> str:
    """An answer behind its edge."""
    return f"{one.edge}: {one.sentence}" if one.edge else one.sentence


def left_out(number: int) -> str:
    """That there is more to tell."""
    return f"{count(number)} more line{'' if number == 1 else 's'} not told here.".capitalize()


def _length(lines: Iterable[str]) -> int:
    """Words that somebody who reads aloud would say."""
    return sum(len(_WORD.findall(line)) for line in lines)


def _cut(own: str) -> str:
    words = own.split()
    return own if len(words) <= MOST_OWN else f"{' '.join(words[:MOST_OWN])} …"


# --- scans ------------------------------------------------------------------------------------------------


def _scans(
    state: ShiftState, scans: Sequence[Scan], judged: Mapping[str, Mapping[str, Any]], by_day: Clock
) -> Iterable[StoryMoment]:
    """One moment a scan, and one more where it was set aside or the beam left it."""
    for scan in scans:
        files = [state.arrivals[key] for key in scan.regions or (scan.key,) if key in state.arrivals]
        if not files:
            continue
        last = max(files, key=lambda file: file.number)
        at = _own_time(scan) or by_day(last.time)
        common = {"time": at, "known": last.time, "lines": (last.number,)}
        yield StoryMoment("scans", words=scan.edge or "", **common)
        said = judged.get(scan.key)
        trouble = _trouble(scan.key, said) if said and scan.key not in state.judgements else None
        if trouble:
            kind, words = trouble
            yield StoryMoment(kind, words=words, role="tool", **common)


def _own_time(scan: Scan) -> str:
    """Its end by its own header, where that is a time at all."""
    try:
        return moment(scan.ended or scan.started or "").astimezone(UTC).isoformat()
    except QuestionRefused:  # a header may say anything
        return ""


def _trouble(key: str, said: Mapping[str, Any]) -> tuple[str, str] | None:
    """What the tool set aside and why, and what a beam trip did; what was merely noted is not told."""
    reasons, name = said["reasons"], scan_words(key)
    dropped = next((one for one in reasons if one["code"] == "beam-dropped"), None)
    if said["verdict"] == "set-aside":
        told = dropped or reasons[0]
        return "trip" if dropped else "aside", f"{name.capitalize()} set aside: {_begun(told['sentence'])}"
    return ("trip", f"{name.capitalize()}: {_begun(dropped['sentence'])}") if dropped else None


def _begun(text: str) -> str:
    """A sentence as the second half of another."""
    return text[:1].lower() + text[1:] if not text[:2].isupper() else text


def _together(moments: Sequence[StoryMoment]) -> Iterable[StoryMoment]:
    """Scans in a row are one moment, and so are looks in a row."""
    run: list[StoryMoment] = []
    for one in moments:
        if run and one.kind != run[0].kind:
            yield _run(run)
            run = []
        if one.kind in ("scans", "look"):
            run.append(one)
        else:
            yield one
    if run:
        yield _run(run)


def _run(run: Sequence[StoryMoment]) -> StoryMoment:
    number = Counter(one.words for one in run)
    if run[0].kind == "scans":
        told = ", ".join(f"{count(times)} at {edge or 'no known edge'}" for edge, times in number.items())
        words = f"Scanned since {clock(moment(run[0].time), 0)}: {told}."
    else:
        words = f"Units judged at {', '.join(number)}."
    last = max(run, key=lambda one: moment(one.known))
    lines = tuple(line for one in run for line in one.lines)
    return replace(run[-1], words=words, known=last.known, lines=lines)


# --- what people did --------------------------------------------------------------------------------------


def _acts(state: ShiftState, by_day: Clock) -> Iterable[StoryMoment]:
    """What the book tells of people and of looks; what was taken back is not told."""
    first = True
    for event in state.events:
        if event.kind == "experiment" and first:
            first = False
            continue
        if event.role not in PEOPLE and event.kind not in _BY_THE_TOOL:
            continue
        made = _TOLD[event.kind](event, state) if event.kind in _TOLD else None
        if made:
            kind, words, *own = made
            said = own[0] if own else ""
            yield StoryMoment(kind, by_day(event.time), words, said, event.role, event.time, (event.number,))


_BY_THE_TOOL = ("look", "round")
Made = tuple[str, str] | tuple[str, str, str] | None


def _declared(event: Event, state: ShiftState) -> Made:
    feature = event.payload["feature"].get("words") or event.payload["feature"]["kind"]
    return "decision", f"Declared at {event.payload['edge']}: {feature}.", event.reason


def _judged(event: Event, state: ShiftState) -> Made:
    """Only what stands: an undo, and what it took back, are two lines that cancel."""
    scan, stands = event.payload["scan"], state.judgements.get(event.payload["scan"])
    if stands is None or stands.time != event.time or event.payload["verdict"] == "undo":
        return None
    verdict = event.payload["verdict"]
    how = {"set-aside": "set aside", "keep": "kept"}.get(verdict, "kept with a note")
    kind = "aside" if verdict == "set-aside" else "decision"
    return kind, f"{scan_words(scan).capitalize()} {how} by the {event.role}.", event.reason


def _tied(event: Event, state: ShiftState) -> Made:
    payload = event.payload
    what = payload.get("edge") or ", ".join(map(scan_words, payload.get("scans") or ())) or "all scans"
    return "decision", f"Energies of {what} tied by {payload['shift_ev']:+.2f} eV.", payload["source"]


def _placed(event: Event, state: ShiftState) -> Made:
    where = " ".join(p for p in (event.payload.get("specimen"), event.payload.get("spot")) if p)
    return "decision", f"{scan_words(event.payload['scan']).capitalize()} was on {where or 'nothing known'}."


def _round(event: Event, state: ShiftState) -> Made:
    """A round is told when it was closed; while it is open nobody sees how it stands."""
    there = state.rounds.get(event.payload["round"])
    if event.payload["state"] != "closed" or there is None or there.is_open or there.closed != event.time:
        return None
    return _sketched(there) if there.sort == "guess" else _voted(there)


def _sketched(there: Round) -> Made:
    what = " at ".join(p for p in (there.specimen, there.edge) if p) or "the next trace"
    return ("sketches", f"{_people(len(there.guesses))} sketched {what}.") if there.guesses else None


def _voted(there: Round) -> Made:
    votes = Counter(there.votes.values())
    shown = [f"{votes[card.title]} for “{card.title}”" for card in there.cards if votes[card.title]]
    return ("vote", f"{_people(len(there.votes))} voted: {', '.join(shown)}.") if shown else None


def _people(number: int) -> str:
    return count(number).capitalize()


def _decided(event: Event, state: ShiftState) -> Made:
    decision = next((one for one in state.decisions if one.number == event.number), None)
    if decision is None:
        return None
    return "decision", f"Decided: {decision.card}, {decision.minutes:.0f} min.", event.reason


def _claimed(event: Event, state: ShiftState) -> Made:
    claim = next((one for one in state.claims if one.number == event.number and one.stands), None)
    return ("claim", f"Claimed, level {claim.level}:", claim.claim) if claim else None


def _pumped(event: Event, state: ShiftState) -> Made:
    """A load is told once, with its first readings."""
    load = event.payload["load"]
    first = next(one for one in state.pumping if one.payload["load"] == load)
    return ("pump", f"Pumped: {load}.") if first.number == event.number else None


def _accepted(event: Event, state: ShiftState) -> Made:
    stands = state.accepted.get(event.payload["worry"])
    return (
        ("decision", "A worry was accepted.", event.reason)
        if stands and not event.payload.get("undo")
        else None
    )


_TOLD: Mapping[str, Callable[[Event, ShiftState], Made]] = {
    "experiment": lambda event, state: ("decision", "Experiment text changed.", event.reason),
    "declare": _declared,
    "judge": _judged,
    "tie": _tied,
    "place": _placed,
    "look": lambda event, state: ("look", event.payload["edge"]),
    "round": _round,
    "decide": _decided,
    "claim": _claimed,
    "accept": _accepted,
    "pressure": _pumped,
    "isolate": lambda event, state: ("pump", f"Pump shut off for {event.payload['seconds'][-1]:.0f} s."),
    "curtain": lambda event, state: (
        "decision",
        f"Curtain {'drawn' if event.payload.get('drawn') else 'opened'}.",
    ),
    "write": lambda event, state: ("note", "Noted:", event.payload["text"]),
}
"""How a line of each kind is told; other kinds are no part of the story."""
