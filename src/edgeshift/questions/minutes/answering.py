"""The answer: cards in an order drawn by lot, for the minutes that are left."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from edgeshift.questions.minutes.costs import Costs
from edgeshift.questions.minutes.offers import (
    FEWEST,
    Card,
    EdgeNow,
    chosen,
    closing,
    interleaving,
    naming,
    narrowing,
    once_more,
    spots_worth,
    tying,
    unmeasured,
    writing,
)
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.identity import digest
from edgeshift.wording import minutes as words


class Open(NamedTuple):
    """An element of which nobody can tell whether it is there, where to scan for it, and why it is open: a
    code of the answer to "here" (blank-unmeasured, partner-unscanned, incomplete, ...)."""

    element: str
    edge: str
    why: str


class Asked(NamedTuple):
    """What is known at the meeting. `left` are minutes until the shift ends (None: nobody said).

    `edges` are the comparisons as they stand; `confounded` (edge, units) where one arm came all before the
    other; `old_tie` (edge, minutes) where the last scan of a standard is that old; `first` the edge of the
    day's first scan; `writing` minutes kept for the end; `round` how many decisions were made; `open`
    elements that may or may not be there; `unscanned` planned edges without a scan; `specimens` how many are
    mounted.
    """

    left: float | None
    edges: tuple[EdgeNow, ...]
    costs: Costs
    first: str | None
    writing: float
    confounded: tuple[tuple[str, int], ...] = ()
    old_tie: tuple[str, float] | None = None
    round: int = 0
    open: tuple[Open, ...] = ()
    unscanned: tuple[str, ...] = ()
    specimens: int = 0


def answer(asked: Asked) -> Answer:
    """Three to five cards where minutes and scans are there to choose with; else cannot tell, because.

    Writing is always one of them; so is the closing check, unless it takes longer than there is.
    """
    if asked.left is None:
        return _untold(words.NO_END, asked, words.SAY_END)
    if asked.first is None:
        return _untold(words.NO_SCAN, asked, words.SCAN_FIRST)
    check = closing(asked.first, asked.costs)
    checked = [check] if check.minutes <= asked.left else []
    always = [*checked, writing(min(asked.writing, max(asked.left, 0.0)))]
    room = asked.left - sum(card.minutes for card in always)
    offers = _offers(asked, room)
    cards = _by_lot([*chosen(offers, asked.edges, room), *always], asked)
    fits = sum(card.minutes <= room for card in offers)
    return Answer(
        "minutes",
        "cards",
        words.sentence(len(cards), asked.left),
        because=(*_facts(asked, cards, len(offers) - fits), *([] if checked else [_no_check(check)])),
        would_change_it=(words.VOTE,),
        cautions=words.CAUTIONS,
        detail=_detail(asked, cards),
    )


def _no_check(check: Card) -> Fact:
    """Why the card that else is always there is not."""
    return Fact("no-closing-check", words.NO_CHECK, check.minutes, unit="min")


def _offers(asked: Asked, room: float) -> list[Card]:
    """Every act there is to offer; where a comparison offers too few, edges that nobody looked at yet, and in
    the end the same again."""
    costs = asked.costs
    offers = [card for now in asked.edges for card in narrowing(now, costs, room)]
    offers += [interleaving(edge, units, costs) for edge, units in asked.confounded]
    offers += [tying(*asked.old_tie, costs)] if asked.old_tie else []
    offers += [naming(*each, costs) for each in asked.open[:1]]
    if sum(card.minutes <= room for card in offers) < FEWEST and asked.specimens:
        offers += [unmeasured(edge, asked.specimens, costs) for edge in asked.unscanned]
    if sum(card.minutes <= room for card in offers) < FEWEST and asked.specimens and not asked.edges:
        offers += [
            once_more(edge, asked.specimens, costs) for edge in costs.scan if edge not in asked.unscanned
        ]
    return offers


def _by_lot(cards: Sequence[Card], asked: Asked) -> list[Card]:
    """An order that ranks nothing, the same for everybody until the next decision."""
    return sorted(cards, key=lambda card: digest(str(asked.round), *sorted(c.code for c in cards), card.code))


def _facts(asked: Asked, cards: Sequence[Card], too_long: int) -> tuple[Fact, ...]:
    found = [Fact("left", words.LEFT, asked.left, unit="min")]
    for now in asked.edges:
        spots = spots_worth(now, asked.costs)
        if spots is not None:
            at = (Ref("edge", now.edge),)
            found.append(Fact("best-spots", words.best_spots(now.edge), spots, evidence=at))
    untold = [card for card in cards if card.low is not None and card.predicted_ratio is None]
    found += [Fact("cannot-tell", words.untold(card.title)) for card in untold]
    if too_long:
        found.append(Fact("too-long", words.too_long(too_long)))
    return tuple(found)


def _detail(asked: Asked, cards: Sequence[Card]) -> dict[str, Any]:
    return {
        "minutes_left": asked.left,
        "round": asked.round,
        "cards": [card._asdict() for card in cards],
    }


def _untold(sentence: str, asked: Asked, act: str) -> Answer:
    return Answer(
        "minutes", "cannot-tell", sentence, would_change_it=(act,), cautions=words.CAUTIONS,
        detail=_detail(asked, ()),
    )  # fmt: skip
