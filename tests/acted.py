"""A small practice shift in which people acted: judged, voted, decided, claimed and noted."""

from __future__ import annotations

from pathlib import Path

from a_room import CARDS, GUEST, HOST, OTHER_SEAT, SEAT
from practised import begun, files

from edgeshift.actions import note
from edgeshift.actions.ballots import vote
from edgeshift.actions.claims import Said, claim
from edgeshift.actions.deciding import decide
from edgeshift.actions.desk import Desk, steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.rounds import close_round, open_vote_round
from edgeshift.folder.experiment_folder import ExperimentFolder

EVENING = "2026-03-14T20:00:00.000Z"
"""After the last scan was measured, as its own header says."""
SAID = "The fire moved potassium in every pair."
NOTED = "Somebody leant on the table."
WHY_ASIDE, WHY_DECIDED = "the shutter stuck", "the pots matter most"


def acted(place: Path, desk: Desk | None = None) -> ExperimentFolder:
    """K L and Ti L, with one scan set aside, one vote, one decision, one claim and one note."""
    desk = desk or steady_desk(EVENING)
    folder = begun(place, files("KL") + files("TiL"), desk=desk)
    note.judge(folder, desk, Who("host", WHY_ASIDE), "scan-002", "set-aside")
    open_vote_round(folder, desk, HOST, CARDS)
    for seat in (SEAT, OTHER_SEAT):
        vote(folder, desk, GUEST, CARDS[0].title, seat, "vote-1")
    close_round(folder, desk, HOST, "vote-1")
    decide(folder, desk, Who("student", WHY_DECIDED), CARDS[0].title, name="vote-1")
    claim(folder, desk, GUEST, Said(SAID, 3, edge="K L", arms=["raw", "fired"]), SEAT)
    note.write(folder, desk, Who("teacher"), NOTED)
    return folder
