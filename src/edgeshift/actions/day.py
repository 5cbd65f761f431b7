"""The day line of a room: what happened by the clock, and how many minutes are left."""

from __future__ import annotations

from edgeshift.actions.room import Room
from edgeshift.figures.day_line import day_line, moments_of
from edgeshift.records.figure import ARM_ROLES, Figure


def day_figure(room: Room, until: str | None = None) -> Figure:
    """The shift as it was known at `until` (None: as it is), fallen at that moment."""

    def made() -> Figure:
        known = room.known(until)
        scans = [scan for group in known.scans.values() for scan in group]
        roles = dict(zip((arm.name for arm in known.experiment.arms), ARM_ROLES, strict=False))
        moments = moments_of(known.state, scans, roles, _verdicts(room, until))
        now = room.desk.now()
        return day_line(moments, until or now, live=now if until else None)

    return room.view(("day line", until), made)


def _verdicts(room: Room, until: str | None) -> dict[str, str]:
    """What the tool says of every scan."""
    found = room.all_answers(until)["trust"]
    answers = found if isinstance(found, list) else []
    return {scan["scan"]: scan["verdict"] for answer in answers for scan in answer.detail["scans"].values()}
