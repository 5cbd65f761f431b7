"""Which picture belongs to an answer."""

from __future__ import annotations

from edgeshift.figures import begin, compare_two, here, maps, minutes, real, say, shares, trust
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Blank, Figure
from edgeshift.wording import figures as words

_BY_QUESTION = {
    "begin": begin.figure,
    "here": here.figure,
    "trust": trust.figure,
    "real": real.figure,
    "minutes": minutes.figure,
    "say": say.figure,
}


def figure_of(answer: Answer) -> Figure:
    """The figure of any answer; a question without a picture of its own shows its state of knowledge."""
    if answer.detail.get("autopsy"):
        return compare_two.figure(answer)
    if answer.detail.get("map"):
        return maps.figure(answer)
    if answer.detail.get("shares"):
        return shares.figure(answer)
    if answer.question in _BY_QUESTION and answer.detail:
        return _BY_QUESTION[answer.question](answer)
    state = "cannot-tell" if answer.verdict == "cannot-tell" else "empty"
    act = answer.would_change_it[0] if answer.would_change_it else ""
    told = words.plain_alt(answer.sentence, [act] if act else [])
    return Figure("blank", answer.marked, (Blank(state, act or words.NO_PICTURE),), told)
