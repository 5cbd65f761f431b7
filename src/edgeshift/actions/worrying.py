"""What should worry the host of a room now, as the room may see it."""

from __future__ import annotations

from edgeshift.actions.room import Room
from edgeshift.errors import NoteRefused
from edgeshift.questions.worries import Grounds, worries, worry_list
from edgeshift.records.answer import Answer
from edgeshift.records.worry import WorryList


def worries_of(room: Room, until: str | None = None) -> WorryList:
    """The worry list at `until`; files and a text that do not hold worry only in the present."""

    return room.view(("worries", until, str(room.complaint)), lambda: worry_list(_grounds(room, until)))


def worry_there(room: Room, key: str) -> str:
    """The key of a worry that there is now. Raises NoteRefused where nothing worries under it."""
    if all(key != worry.key for worry in worries(_grounds(room, None))):
        act = "Look at the worry list again; it may have gone by itself."
        raise NoteRefused("the worry", "one that there is now", repr(key), act)
    return key


def _grounds(room: Room, until: str | None) -> Grounds:
    known, found = room.seen(until), room.all_answers(until)
    trust = _answers(found["trust"])
    live = until is None
    return Grounds(
        known.state,
        known.experiment,
        known.scans,
        trust[0] if trust else None,
        _answers(found["real"]),
        {one.name: one.sentence for one in room.refused_seen} if live else {},
        room.complaint_seen if live else "",
    )


def _answers(found: object) -> list[Answer]:
    return found if isinstance(found, list) else []
