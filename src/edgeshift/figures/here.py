"""What have we got here? The elements in order of energy, and the line-up of the one that is asked about."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.figures.ranges import floats, padded, reach, scale_bar
from edgeshift.records.answer import Answer
from edgeshift.records.figure import (
    Band,
    Blank,
    ElementMark,
    Figure,
    Line,
    LineUp,
    Muster,
    Panel,
    Plot,
    Ruler,
    StepState,
    Strip,
    Suspect,
)
from edgeshift.wording import figures as plain
from edgeshift.wording import here as words

STATES: Mapping[str, StepState] = {"seen": "answered", "not-seen": "empty", "cannot-tell": "cannot-tell"}
MOST_MARKS = 12
"""More elements than this are counted, not drawn: a picture holds few things."""


def figure(answer: Answer) -> Figure:
    """One edge: its scan and its line-up. The whole shift: every element that was asked for, and one
    line-up."""
    elements, shown = answer.detail.get("elements") or {}, answer.detail.get("shown")
    if not elements or shown is None:
        blank = Blank("empty", plain.NOTHING_YET, plain.ADD_A_SCAN)
        return Figure(
            "here", answer.sentence, (blank,), plain.plain_alt(answer.sentence, [plain.NOTHING_YET])
        )
    told = elements[shown]
    lineup = LineUp(
        words.lineup_title(shown, told),
        STATES[told["verdict"]],
        words.verdict_words(told),
        tuple(_suspect(each) for each in told["impostors"]),
        share=0.9,
    )
    first: Panel = _scan(answer.detail["trace"], told) if answer.edge else _muster(elements)
    alt = [words.element_alt(s, one) for s, one in elements.items() if one["asked"] or s == shown]
    alt += [words.suspect_line(each) for each in told["impostors"]]
    return Figure("here", answer.marked, (first, lineup), plain.plain_alt(answer.sentence, alt))


def pointed(answer: Answer) -> Figure | None:
    """The scan around the element that the line-up is about, to be pointed at; None where there is none."""
    told = (answer.detail.get("elements") or {}).get(answer.detail.get("shown"))
    if told is None or len(answer.detail["trace"]["energy_ev"]) < 2:
        return None
    alt = plain.plain_alt(words.lineup_title(answer.detail["shown"], told), [words.verdict_words(told)])
    return Figure("here", "", (_scan(answer.detail["trace"], told),), alt)


def _suspect(each: Mapping[str, Any]) -> Suspect:
    status = each["status"]
    return Suspect(words.suspect_name(each), status == "excluded", each["why"], status == "beside")


def _muster(elements: Mapping[str, Mapping[str, Any]]) -> Muster:
    asked = [(symbol, told) for symbol, told in elements.items() if told["asked"]]
    shown = sorted(asked[:MOST_MARKS], key=lambda pair: pair[1]["at_ev"])
    marks = tuple(ElementMark(s, STATES[t["verdict"]], words.short_verdict(t)) for s, t in shown)
    return Muster(marks, words.rest(elements, {symbol for symbol, _ in shown}))


def _scan(trace: Mapping[str, Any], told: Mapping[str, Any]) -> Plot:
    """The scan around the edge in its band; where nothing is seen, what would have shown stands beside it."""
    x, y = floats(trace["energy_ev"]), floats(trace["value"])
    half = 2.0 * trace["sigma"]
    low, high = (tuple(value + side * half for value in y) for side in (-1.0, 1.0))
    marks = [Band(x, low, high), Line(x, y, "neutral", plain.scan(trace["scan"]), plain.IN_ITS_BAND)]
    would = floats(trace.get("would_have_shown") or ())
    if would:
        marks.append(Line(x, would, "third", words.WOULD_HAVE_SHOWN))
    ends = reach((low, high, would)) or (0.0, 1.0)
    strip = Strip(*padded(*ends, 0.05), tuple(marks))
    bar = scale_bar(trace["unit"], strip.high - strip.low)
    return Plot(
        Ruler(min(x), max(x), plain.energy_at(told["edge"])), (strip,), bar, tuple(trace["at_ev"]), 1.1
    )
