"""What should worry the host of a room now, as the room may see it."""

from __future__ import annotations

from edgeshift.actions.room import Room
from edgeshift.questions.worries import Grounds, worry_list
from edgeshift.records.answer import Answer
from edgeshift.records.worry import WorryList


def worries_of(room: Room, until: str | None = None) -> WorryList:
    """The worry list at `until`; files and a text that do not hold worry only in the present."""

    def made() -> WorryList:
        known, found = room.seen(until), room.all_answers(until)
        trust = _answers(found["trust"])
        live = until is None
        return worry_list(
            Grounds(
                known.state,
                known.experiment,
                known.scans,
                trust[0] if trust else None,
                _answers(found["real"]),
                {one.name: one.sentence for one in room.refused_seen} if live else {},
                room.complaint_seen if live else "",
            )
        )

    return room.view(("worries", until, str(room.complaint)), made)


def _answers(found: object) -> list[Answer]:
    return found if isinstance(found, list) else []
