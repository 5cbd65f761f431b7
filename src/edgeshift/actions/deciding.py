"""A vote among the cards, and the decision: both with the cards as they were shown. Nobody's name enters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import Desk
from edgeshift.actions.note import Who, enter, reason_given
from edgeshift.actions.session import Session
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event

MOST_VOTES = 500


def vote(
    folder: ExperimentFolder, desk: Desk, who: Who, counts: Mapping[str, int], left: float | None = None
) -> Event:
    """What a ballot came to: how many chose which card (by its title, its code or its number)."""
    shown, minutes_left = _shown(folder, desk, "the vote", left)
    found: dict[str, int] = {}
    for said, votes in counts.items():
        code = _card(shown, said)["code"]
        if not 0 <= votes <= MOST_VOTES:
            raise NoteRefused("the vote", f"0 to {MOST_VOTES} votes for a card", str(votes), "Count again.")
        found[code] = found.get(code, 0) + votes
    if not sum(found.values()):
        raise NoteRefused("the vote", "a vote for some card", "none", "Type it as CARD=7.")
    payload = {"question": "minutes", "cards": shown, "counts": found, "minutes_left": minutes_left}
    return enter(folder, desk, who, "vote", lambda state: payload)


def decide(folder: ExperimentFolder, desk: Desk, who: Who, chosen: str, left: float | None = None) -> Event:
    """The card that the group chose, whatever the vote said, with the reason."""
    reason_given(who, "the decision")
    shown, minutes_left = _shown(folder, desk, "the decision", left)
    payload = {
        "question": "minutes",
        "cards": shown,
        "chosen": _card(shown, chosen)["code"],
        "minutes_left": minutes_left,
    }
    return enter(folder, desk, who, "decide", lambda state: payload)


def _shown(
    folder: ExperimentFolder, desk: Desk, thing: str, left: float | None
) -> tuple[list[dict[str, Any]], float]:
    """The cards of this moment, in the order in which they lie, and the minutes left."""
    (found,) = answer(Session(folder, desk), "minutes", left=left)
    if found.verdict != "cards":
        raise NoteRefused(thing, "cards to choose from", found.sentence, found.would_change_it[0])
    told = ("code", "title", "minutes", "predicted_ratio")
    cards = [{name: card[name] for name in told} for card in found.detail["cards"]]
    return cards, found.detail["minutes_left"]


def _card(shown: list[dict[str, Any]], said: str) -> dict[str, Any]:
    wanted = said.strip().lower()
    for number, card in enumerate(shown, 1):
        if wanted in (str(number), card["code"].lower(), card["title"].lower()):
            return card
    there = "; ".join(f"{number} {card['title']}" for number, card in enumerate(shown, 1))
    raise NoteRefused(repr(said), "one of the cards", f"cards {there}", "Name one, or type its number.")
