"""The Pocket, for a phone and one thumb: draw a guess, vote, read what the Stage shows, ask, and say."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import NamedTuple

from markupsafe import Markup, escape
from pydantic import Field
from starlette.responses import Response

from edgeshift.actions.ballots import count_votes
from edgeshift.actions.expecting import guess_sheet, open_round
from edgeshift.actions.session import Known
from edgeshift.actions.staging import Staged, staged
from edgeshift.drawing import picture_height
from edgeshift.drawing.tokens import Looks
from edgeshift.records.answer import QUESTIONS
from edgeshift.records.room import Card, Claim, Round, View
from edgeshift.web.door import Body, Call, Door
from edgeshift.web.fragments import drawn, spoken, strip
from edgeshift.web.pages import page, say_of
from edgeshift.web.pocket.bars import bar
from edgeshift.wording.figures import CURVE_UNITS
from edgeshift.wording.glossary import GLOSSARY, known_words
from edgeshift.wording.names import Naming, open_naming
from edgeshift.wording.rounds import LEVELS, are_in, bars_on, gain, next_trace, votes

STRIP = (390, 52)
PAD = (390, 440)
"""Pixels of the drawing area on a sheet of 390 by 844."""
MOST_DOTS = 24
"""More dots than these tell no more than their number."""


class Wanted(Body):
    """Which answer to read; empty: what the host shows."""

    question: str | None = Field(None, max_length=20)
    edge: str | None = Field(None, max_length=40)

    @property
    def view(self) -> View | None:
        """The view that was asked for, if any."""
        return View(self.question, self.edge) if self.question in QUESTIONS else None


class Dress(NamedTuple):
    """How things are called and how arms are drawn."""

    naming: Naming
    looks: Looks


@dataclass(frozen=True)
class GuessShown:
    """An open round of sketches: what is drawn over, and what this seat sent already (JSON)."""

    round: Round
    next: str
    frame: Markup
    unit: str
    sent: str
    told: str


@dataclass(frozen=True)
class CardShown:
    """One card with its bar; `count` and `gain` are words that only a closed vote has."""

    card: Card
    bar: Markup
    chosen: bool = False
    count: str = ""
    gain: str = ""


@dataclass(frozen=True)
class VoteShown:
    """A round of votes: its cards in the order of the lot, all on one ruler of minutes."""

    round: Round
    cards: tuple[CardShown, ...]
    ruler: str
    told: str
    voted: bool = False


def pocket(call: Call) -> Response:
    """The Pocket of one seat."""
    known = call.house.room.seen()
    shown = staged(call.house.room, call.query.view, say=say_of(call))
    guess, vote = open_round(known.state, "guess"), open_round(known.state, "vote")
    return page(
        call,
        "pocket/pocket.html",
        strip=strip(call, shown, *STRIP, path="/pocket"),
        shown=shown,
        chosen=call.query.view is not None,
        sentence=spoken(shown.sentence, shown.naming, touchable),
        picture=_small_picture(call, shown),
        guess=_guess(call, known, guess) if guess else None,
        vote=_open_vote(call, vote) if vote else None,
        counted=None if vote else _closed_vote(known),
        levels=list(enumerate(LEVELS))[::-1],
        claims=_own_claims(call, known),
        glossary=GLOSSARY,
        most_dots=MOST_DOTS,
    )


def touchable(text: str) -> Markup:
    """A sentence in which every word of the glossary can be touched."""
    said = (
        Markup('<button type="button" class="word" data-word="{}">{}</button>').format(entry.key, piece)
        if entry
        else escape(piece)
        for piece, entry in known_words(text)
    )
    return Markup("").join(said)


def _small_picture(call: Call, shown: Staged) -> Markup:
    height = picture_height(shown.figure, STRIP[0])
    return drawn(call, ("pocket", shown.view), shown.figure, shown, STRIP[0], height)


def _guess(call: Call, known: Known, round_: Round) -> GuessShown:
    sheet = guess_sheet(call.house.room, round_.edge)
    naming = open_naming(known.experiment)
    mine = round_.guesses.get(call.visitor.seat)
    return GuessShown(
        round_,
        next_trace(round_.specimen, round_.edge),
        drawn(call, ("guess", round_.edge), sheet.figure, Dress(naming, sheet.looks), *PAD),
        CURVE_UNITS.get(sheet.unit, sheet.unit),
        json.dumps([list(point) for point in mine.points]) if mine else "",
        are_in(len(round_.guesses)),
    )


def _ruler(cards: tuple[Card, ...]) -> float:
    """Minutes that the bars of all cards are drawn on."""
    return max((card.minutes for card in cards), default=0.0) or 1.0


def _open_vote(call: Call, round_: Round) -> VoteShown:
    """Cards without what they were reckoned to gain and without any count: both would sway."""
    ruler, mine = _ruler(round_.cards), round_.votes.get(call.visitor.seat)
    cards = tuple(CardShown(card, bar(card.minutes, ruler), card.title == mine) for card in round_.cards)
    return VoteShown(round_, cards, bars_on(ruler), are_in(len(round_.votes)), mine is not None)


def _closed_vote(known: Known) -> VoteShown | None:
    """The last vote, now that it is over, with counts and gains."""
    over = [there for there in known.state.rounds.values() if there.sort == "vote"]
    if not over:
        return None
    round_, ruler = over[-1], _ruler(over[-1].cards)
    counts = count_votes(known.state, round_.name)
    cards = tuple(
        CardShown(
            card,
            bar(card.minutes, ruler),
            count=votes(counts[card.title]),
            gain="" if card.predicted_ratio is None else gain(card.predicted_ratio),
        )
        for card in round_.cards
    )
    return VoteShown(round_, cards, bars_on(ruler), "")


def _own_claims(call: Call, known: Known) -> list[Claim]:
    """What this seat said, the last first; what was taken back stays to be seen."""
    return [claim for claim in known.state.claims if claim.by == call.visitor.seat][::-1]


DOORS: tuple[Door, ...] = (
    Door("GET", "/pocket", "guest", pocket, "The Pocket, for phones.", Wanted, kind="page"),
)
