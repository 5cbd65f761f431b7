"""Several edges in one strip: the three rungs of each."""

from __future__ import annotations

from collections.abc import Sequence

from edgeshift.figures.ladders import RUNGS
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Blank, Board, Figure, SmallLadder
from edgeshift.wording import figures as words


def summary(answers: Sequence[Answer], sentence: str = "") -> Figure:
    """One small ladder for every answer to "real" that has an edge, in the order given.

    `sentence` stands above; empty: the one of the answer that sums up (edge None), if it is there.
    """
    real = [answer for answer in answers if answer.question == "real"]
    told = sentence or next((answer.sentence for answer in real if answer.edge is None), "")
    ladders = tuple(_small(answer) for answer in real if answer.edge is not None)
    if not ladders:
        blank = Blank("empty", words.NOTHING_YET, words.ADD_A_SCAN)
        return Figure("board", told, (blank,), words.plain_alt(told, [words.NOTHING_YET]))
    alt = words.plain_alt(told, [words.small_alt(one.name, one.states, one.stamp) for one in ladders])
    titles = tuple(words.SHORT_TITLES[code] for code in RUNGS)
    return Figure("board", told, (Board(titles, ladders),), alt, flat=True)


def _small(answer: Answer) -> SmallLadder:
    rungs = answer.detail.get("rungs") or {}
    states = tuple(rungs.get(code, "cannot-test") for code in RUNGS)
    stamp = words.STAMPS[answer.detail["declared"]] if "declared" in answer.detail else ""
    return SmallLadder(answer.edge or "", states, words.verdict_words(answer.verdict), stamp)
