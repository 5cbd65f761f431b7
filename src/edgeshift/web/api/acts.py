"""What people do, as JSON: each act is the same that the command line enters, with the same refusals.

A guest acts as a student, from a seat; the host says in which role, and why. Behind a drawn curtain names are
said as the room sees them, and turned into the true ones here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Literal

from pydantic import Field
from starlette.responses import JSONResponse, Response

from edgeshift.actions import ballots, claims, deciding, edit, note, rounds, showing, shy, slots
from edgeshift.actions.dealing import cards_of
from edgeshift.actions.entering import Who
from edgeshift.actions.worrying import worry_there
from edgeshift.errors import NoteRefused
from edgeshift.records.event import Event
from edgeshift.records.room import Card, Round, View
from edgeshift.records.shift_state import DeclaredTie, ShiftState
from edgeshift.web.access import NOTEBOOK, Rank
from edgeshift.web.door import Body, Call, Door

Words = Field("", max_length=4000)
Short = Field(max_length=300)
MaybeShort = Field(None, max_length=300)
Number = Field(ge=1, le=2**53)


class Act(Body):
    """Every act says why; the host also in which role."""

    reason: str = Field("", max_length=2000, description="Why, in a few words.")
    role: Literal["host", "mentor", "teacher", "student"] = Field("host", description="Never a name.")


class Judge(Act):
    """What becomes of a scan."""

    scan: str = Short
    verdict: Literal["keep", "keep-with-a-note", "set-aside", "undo"]


class Declare(Act):
    """The one number that will be compared at an edge."""

    edge: str = Short
    feature: dict[str, Any]
    matters: float | None = None


class Place(Act):
    """Where a scan was measured."""

    scan: str = Short
    specimen: str = Short
    spot: str | None = MaybeShort


class TieBody(Act):
    """A shift of energies to a known peak, with its source."""

    shift_ev: float
    sigma_ev: float
    source: str = Short
    edge: str | None = MaybeShort
    scans: list[str] = Field(default_factory=list, max_length=500)


class Write(Act):
    """A note in people's own words."""

    text: str = Words


class OneView(Body):
    """One thing the Stage can show."""

    question: str = Short
    edge: str | None = MaybeShort
    compare: tuple[str, str] | None = None

    @property
    def view(self) -> View:
        """The same as a record."""
        return View(self.question, self.edge, self.compare)


class Show(Act):
    """What the Stage shows now, and what comes next."""

    now: OneView
    next: list[OneView] = Field(default_factory=list, max_length=10)


class Curtain(Act):
    """Draw the curtain, or open it."""

    drawn: bool


class GuessRound(Act):
    """Invite everybody to sketch the next trace."""

    edge: str = Short
    specimen: str | None = MaybeShort
    about: str = Words


class CardBody(Body):
    """One way to spend the minutes."""

    title: str = Short
    minutes: float
    settles: str = Words
    cannot_fix: str = Words
    predicted_ratio: float | None = None


class VoteRound(Act):
    """Turn the cards up and let everybody vote; without cards those of "What shall our minutes buy?"."""

    cards: list[CardBody] | None = Field(None, max_length=20)
    about: str = Words


class RoundState(Act):
    """Close a round, or open it again."""

    round: str = Short
    state: Literal["open", "closed"]


class Guess(Body):
    """A sketch: points of energy (eV) and height, energies rising."""

    points: list[tuple[float, float]] = Field(max_length=2000)
    round: str | None = MaybeShort


class Vote(Body):
    """The card that a seat chooses."""

    card: str = Short
    round: str | None = MaybeShort


class PaperVotes(Act):
    """What was voted on paper: sheets for each card, by its title; replaces an earlier count."""

    counts: dict[str, int] = Field(max_length=20)
    round: str | None = MaybeShort


class Claim(Body):
    """What somebody says aloud, in their own words, and what kind of claim it is."""

    claim: str = Words
    level: int
    evidence: str = Words
    reason: str = Words
    unless: str = Words
    edge: str | None = MaybeShort
    feature: dict[str, Any] | None = None
    arms: list[str] = Field(default_factory=list, max_length=20)
    higher: str | None = MaybeShort
    instead_of: int | None = None


class TakeBack(Act):
    """Take back what stands in a line of the book."""

    number: int = Number


class Decide(Act):
    """What the minutes are spent on."""

    card: str = Short
    minutes: float | None = None
    round: str | None = MaybeShort


class Accept(Act):
    """Live with a worry, because; or worry again."""

    worry: str = Short
    undo: bool = False


class SlotWords(Act):
    """The group's own words for one slot of what goes home."""

    slot: str = Short
    text: str = Words


class Shy(Body):
    """A question to the host from nobody in particular."""

    text: str = Words


class Edit(Act):
    """One value of the experiment text: `path` leads to it; `seen` is the line of the text before."""

    path: list[str | int] = Field(max_length=10)
    value: Any = None
    seen: int | None = None


class EditText(Act):
    """The whole experiment text."""

    text: str = Field(max_length=500_000)
    seen: int | None = None


def _who(call: Call) -> Who:
    if call.visitor.rank == "host":
        return Who(getattr(call.body, "role", "host"), getattr(call.body, "reason", ""))
    return Who("student", getattr(call.body, "reason", ""))


def _seat(call: Call) -> str | None:
    return call.visitor.seat if call.visitor.seat != NOTEBOOK else None


def _own_seat(call: Call) -> str:
    """The seat of a guest; the host's word alone has none."""
    seat = _seat(call)
    if not seat:
        act = "Only guests sketch and vote: open the Pocket, or enter votes on paper."
        raise NoteRefused("the sketch or vote", "a guest's seat", "the host's word", act)
    return seat


def _true(call: Call, name: str | None) -> str | None:
    return call.house.room.true_name(name)


def _scan(call: Call, said: str) -> str:
    return call.house.room.true_scan(said)


def _place(call: Call) -> tuple:
    """A place is true names: what the room calls a spot or a specimen would be written down as one."""
    _only_in_the_open(call, "the place")
    return note.place, call.body.scan, call.body.specimen, call.body.spot


def _true_cards(call: Call, name: str | None) -> dict[str, str]:
    """The cards of the round `name` (empty: the last vote) by the titles that the room sees."""
    room = call.house.room
    true, seen = (_round_of_votes(known.state, name) for known in (room.known(), room.seen()))
    both = zip(seen.cards, true.cards, strict=True) if true and seen else ()
    return {shown.title: card.title for shown, card in both}


def _round_of_votes(state: ShiftState, name: str | None) -> Round | None:
    votes = [there for there in state.rounds.values() if there.sort == "vote"]
    return next((there for there in reversed(votes) if name in (None, there.name)), None)


def _vote(call: Call) -> tuple:
    card = _true_cards(call, call.body.round).get(call.body.card, call.body.card)
    return ballots.vote, card, _own_seat(call), call.body.round


def _paper(call: Call) -> tuple:
    cards = _true_cards(call, call.body.round)
    counts = {cards.get(title, title): number for title, number in call.body.counts.items()}
    return ballots.paper_votes, counts, call.body.round


def _only_in_the_open(call: Call, what: str = "the text") -> None:
    """What names arms is not changed where the room may not know them."""
    if call.house.room.known().state.curtain:
        act = "Open the curtain, or do it in your own terminal."
        raise NoteRefused(what, "an open curtain", "a drawn one", act)


def _curtain(call: Call) -> tuple:
    return (showing.draw_curtain if call.body.drawn else showing.open_curtain,)


def _round(call: Call) -> tuple:
    change = rounds.reopen_round if call.body.state == "open" else rounds.close_round
    return change, call.body.round


def _claim(call: Call) -> tuple:
    b = call.body
    room = call.house.room
    arms, higher = [room.true_name(arm, "arms") for arm in b.arms], room.true_name(b.higher, "arms")
    said = claims.Said(b.claim, b.level, b.evidence, b.reason, b.edge, b.feature, arms, b.unless, higher)
    return claims.claim, said, _seat(call), b.instead_of


def _accept(call: Call) -> tuple:
    if call.body.undo:
        return deciding.undo_accept, call.body.worry
    return deciding.accept, worry_there(call.house.room, call.body.worry)


def _edit(call: Call) -> tuple:
    _only_in_the_open(call)
    return edit.edit_value, tuple(call.body.path), call.body.value, call.body.seen


def _edit_text(call: Call) -> tuple:
    _only_in_the_open(call)
    return edit.edit, call.body.text, call.body.seen


def _decide(call: Call) -> tuple:
    b = call.body
    return deciding.decide, _true_cards(call, b.round).get(b.card, b.card), b.minutes, b.round


def _undo_edit(call: Call) -> tuple:
    _only_in_the_open(call)
    return edit.undo_edit, call.body.number


def _tie(call: Call) -> tuple:
    b = call.body
    scans = tuple(_scan(call, said) for said in b.scans)
    return note.tie, DeclaredTie(b.shift_ev, b.sigma_ev, b.source, b.edge, scans)


def _vote_round(call: Call) -> tuple:
    if call.body.cards is None:
        (found,) = call.house.room.ask(View("minutes"))
        cards = cards_of(found)
    else:
        cards = tuple(Card(**card.model_dump()) for card in call.body.cards)
    return rounds.open_vote_round, cards, call.body.about


def _show(call: Call) -> tuple:
    now, *coming = (_true_view(call, one.view) for one in (call.body.now, *call.body.next))
    return showing.show, now, coming


def _true_view(call: Call, view: View) -> View:
    compare = view.compare and (_scan(call, view.compare[0]), _scan(call, view.compare[1]))
    return replace(view, compare=compare)


def _door(kind: str, body: type[Body], act: Callable[[Call], tuple], says: str, needs: Rank = "host") -> Door:
    """The door of one act. `act(call)` names the action and what it takes after folder, desk and who."""

    def handler(call: Call) -> Response:
        do, *details = act(call)
        event: Event = call.house.room.act(do, _who(call), *details)
        return JSONResponse({"number": event.number, "time": event.time})

    return Door("POST", f"/api/{kind}", needs, handler, says, body=body)


DOORS: tuple[Door, ...] = (
    _door("judge", Judge, lambda c: (note.judge, _scan(c, c.body.scan), c.body.verdict),
          "Keep a scan or set it aside."),
    _door("declare", Declare, lambda c: (note.declare, c.body.edge, c.body.feature, c.body.matters),
          "Name the one number that will be compared at an edge."),
    _door("place", Place, _place, "Say where a scan was measured."),
    _door("tie", TieBody, _tie, "Tie energies to a known peak."),
    _door("write", Write, lambda c: (note.write, c.body.text), "Keep a note in people's own words."),
    _door("show", Show, _show, "Choose what the Stage shows."),
    _door("curtain", Curtain, _curtain, "Draw the curtain, or open it with a reason."),
    _door("invite-guesses", GuessRound,
          lambda c: (rounds.open_guess_round, c.body.edge, _true(c, c.body.specimen), c.body.about),
          "Invite everybody to sketch the next trace."),
    _door("invite-votes", VoteRound, _vote_round, "Turn the cards up and let everybody vote."),
    _door("round", RoundState, _round, "Close a round, or open it again."),
    _door("decide", Decide, _decide, "Say what the minutes are spent on."),
    _door("undo-decision", TakeBack, lambda c: (deciding.undo_decision, c.body.number),
          "Take a decision back."),
    _door("accept", Accept, _accept, "Live with a worry, because; or worry again."),
    _door("hear", TakeBack, lambda c: (shy.hear, c.body.number), "Mark a shy question as heard."),
    _door("words", SlotWords, lambda c: (slots.write_words, c.body.slot, c.body.text),
          "Fill a slot of what goes home with the group's own words."),
    _door("undo-words", TakeBack, lambda c: (slots.undo_words, c.body.number), "Take such words back."),
    _door("edit", Edit, _edit, "Change one value of the experiment text."),
    _door("edit-text", EditText, _edit_text, "Change the whole experiment text."),
    _door("undo-edit", TakeBack, _undo_edit, "Return to the text before an edit."),
    _door("guess", Guess, lambda c: (ballots.guess, c.body.points, _own_seat(c), c.body.round),
          "Sketch the next trace.", "guest"),
    _door("vote", Vote, _vote, "Vote for a card.", "guest"),
    _door("paper-votes", PaperVotes, _paper, "Enter what was voted on paper."),
    _door("claim", Claim, _claim, "Say a claim in one's own words.", "guest"),
    _door("take-back-claim", TakeBack,
          lambda c: (claims.take_back_claim, c.body.number, _seat(c)), "Take a claim back.", "guest"),
    _door("shy", Shy, lambda c: (shy.ask_shyly, c.body.text), "Ask the host without a voice.", "guest"),
)  # fmt: skip
