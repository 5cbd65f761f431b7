"""The cards of "What shall our minutes buy?", dealt out to be voted on."""

from __future__ import annotations

from dataclasses import fields

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who
from edgeshift.actions.rounds import open_vote_round
from edgeshift.actions.session import Session
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.answer import Answer
from edgeshift.records.event import Event
from edgeshift.records.room import Card
from edgeshift.records.shift_state import ShiftState


def open_dealt_round(
    folder: ExperimentFolder, desk: Desk, who: Who, left: float | None = None, about: str = ""
) -> Event:
    """Open a vote on the cards of this moment; `left` are minutes left, where the text does not say."""
    (found,) = answer(Session(folder, desk), "minutes", left=left)
    return open_vote_round(folder, desk, who, cards_of(found), about)


def lie_face_down(state: ShiftState) -> bool:
    """Whether the cards of this moment are the host's alone: until a vote is opened on them."""
    decided = max((one.number for one in state.decisions), default=0)
    return not any(one.sort == "vote" and one.number > decided for one in state.rounds.values())


def cards_of(found: Answer) -> tuple[Card, ...]:
    """The cards of an answer to "minutes". Raises NoteRefused where it has none, and says why."""
    if found.verdict != "cards":
        raise NoteRefused("the vote", "cards to choose from", found.sentence, found.would_change_it[0])
    parts = [part.name for part in fields(Card)]
    return tuple(Card(**{part: card[part] for part in parts}) for card in found.detail["cards"])
