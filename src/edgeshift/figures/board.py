"""Several edges in one strip: the three rungs of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from edgeshift.figures.ladders import RUNGS
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Blank, Board, Figure, SmallLadder
from edgeshift.wording import figures as words


def figure(answer: Answer) -> Figure:
    """The strip of the answer that sums up (edge None), from its `detail["edges"]`."""
    return _strip(answer.marked, answer.detail.get("edges") or [])


def summary(answers: Sequence[Answer], sentence: str = "") -> Figure:
    """One small ladder for every answer to "real" that has an edge, in the order given.

    `sentence` stands above; empty: the one of the answer that sums up (edge None), if it is there.
    """
    real = [answer for answer in answers if answer.question == "real"]
    told = sentence or next((answer.marked for answer in real if answer.edge is None), "")
    edges = [
        {**answer.detail, "edge": answer.edge, "verdict": answer.verdict}
        for answer in real
        if answer.edge is not None
    ]
    return _strip(told, edges)


def _strip(sentence: str, edges: Sequence[Mapping[str, Any]]) -> Figure:
    if not edges:
        blank = Blank("empty", words.NOTHING_YET, words.ADD_A_SCAN)
        return Figure("board", sentence, (blank,), words.plain_alt(sentence, [words.NOTHING_YET]))
    names = [edge["edge"] for edge in edges]
    ladders = tuple(_small(edge, names.count(edge["edge"]) > 1) for edge in edges)
    told = [words.small_alt(one.name, one.states, one.stamp) for one in ladders]
    titles = tuple(words.SHORT_TITLES[code] for code in RUNGS)
    return Figure("board", sentence, (Board(titles, ladders),), words.plain_alt(sentence, told), flat=True)


def _small(edge: Mapping[str, Any], several_arms: bool) -> SmallLadder:
    """One edge; with its treated arm where the edge stands there more than once."""
    rungs = edge.get("rungs") or {}
    states = tuple(rungs.get(code, "cannot-test") for code in RUNGS)
    stamp = words.STAMPS[edge["declared"]] if "declared" in edge else ""
    treated = edge.get("treated") or ()
    name = f"{edge['edge']}, {words.arm(treated[0])}" if several_arms and treated else edge["edge"]
    return SmallLadder(name, states, words.verdict_words(edge["verdict"]), stamp)
