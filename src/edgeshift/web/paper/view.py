"""Paper ballots: a guess, a vote and a claim, two on a sheet of A4; and where they are counted."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup
from pydantic import Field
from starlette.responses import Response

from edgeshift.actions.expecting import guess_sheet, open_round
from edgeshift.drawing import picture
from edgeshift.drawing.tokens import curtain_looks
from edgeshift.figures import expected
from edgeshift.records.figure import Plot
from edgeshift.records.room import Round
from edgeshift.web.door import Body, Call, Door
from edgeshift.web.pages import drawing, page
from edgeshift.wording.names import open_naming
from edgeshift.wording.rounds import LEVELS, next_trace

FRAME = (480, 262)
"""Pixels of each frame on a ballot of A5."""
INK = curtain_looks(())
"""Every arm in ink: a copier knows no hue."""


class Wanted(Body):
    """For which edge; empty: that of the open round of guesses."""

    edge: str | None = Field(None, max_length=40)


@dataclass(frozen=True)
class GuessBallot:
    """The measured curve to draw over, and an empty frame on the same rulers."""

    next: str
    about: str
    measured: Markup
    empty: Markup


def ballots(call: Call) -> Response:
    """The ballots of what is open now."""
    state = call.house.room.seen().state
    guess, vote = open_round(state, "guess"), open_round(state, "vote")
    edge = call.query.edge or (guess and guess.edge)
    return page(
        call,
        "paper/ballots.html",
        guess=_guess(call, edge, guess if guess and guess.edge == edge else None) if edge else None,
        vote=vote,
        on_paper=_counted(vote) if vote else {},
        levels=list(enumerate(LEVELS))[::-1],
    )


def _guess(call: Call, edge: str, round_: Round | None) -> GuessBallot:
    room = call.house.room
    sheet = guess_sheet(room, edge)
    plot: Plot = sheet.figure.panels[0]
    held = plot.strips[0].low, plot.strips[0].high
    bare = expected(edge, sheet.unit, (plot.ruler.low, plot.ruler.high), held=held)
    naming = open_naming(room.seen().experiment)
    measured, empty = (
        drawing(picture(figure, *FRAME, "light", naming=naming, looks=INK)) for figure in (sheet.figure, bare)
    )
    words = next_trace(round_.specimen if round_ else None, edge)
    return GuessBallot(words, round_.about if round_ else "", measured, empty)


def _counted(vote: Round) -> dict[str, int]:
    """Sheets that were entered so far, by the title of their card."""
    chosen = [vote.votes[seat] for seat in vote.paper if seat in vote.votes]
    return {card.title: chosen.count(card.title) for card in vote.cards}


DOORS = (Door("GET", "/print/ballots", "host", ballots, "Ballots on paper.", Wanted, kind="page"),)
