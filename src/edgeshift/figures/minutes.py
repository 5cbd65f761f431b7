"""What shall our minutes buy? The cards, face up for the host, face down for a room that has yet to vote."""

from __future__ import annotations

from edgeshift.records.answer import Answer
from edgeshift.records.figure import Blank, Card, Cards, Figure, Ruler
from edgeshift.wording import minutes as words


def figure(answer: Answer, hidden: bool = False) -> Figure:
    """One face a card; `hidden` draws their backs and says no word of theirs."""
    cards = answer.detail.get("cards") or []
    if not cards:
        act = answer.would_change_it[0] if answer.would_change_it else ""
        return Figure("minutes", answer.sentence, (Blank("not-yet", act),), f"{answer.sentence} {act}")
    left = float(answer.detail["minutes_left"])
    faces = tuple(
        Card(card["title"], card["minutes"], _held(card["settles"]), card["cannot_fix"]) for card in cards
    )
    told = words.alt([] if hidden else cards, answer.sentence)
    if hidden:
        told, faces = f"{told} {words.BACKS}", tuple(Card("", 0.0, "", "") for _ in cards)
    drawn = Cards(Ruler(0.0, max(left, 1.0), words.bars(left)), faces, hidden)
    return Figure("minutes", answer.marked, (drawn,), told, words.QUESTION)


def _held(words: str) -> str:
    """A number keeps its percent sign beside it, wherever the line breaks."""
    return words.replace(" %", "\u00a0%")
