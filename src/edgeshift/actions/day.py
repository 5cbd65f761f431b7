"""The day line of a room: what happened by the clock, and how many minutes are left."""

from __future__ import annotations

from datetime import timedelta

from edgeshift.actions.clock import end_of_day, offset_min, present
from edgeshift.actions.plan import day_ahead
from edgeshift.actions.room import Room
from edgeshift.figures.day_line import day_line, moments_of
from edgeshift.records.figure import ARM_ROLES, Figure, Moment
from edgeshift.records.shift_state import moment


def day_figure(room: Room, until: str | None = None) -> Figure:
    """The shift as it was known at `until` (None: as it is), fallen at that moment."""

    def made() -> Figure:
        known, moments = room.seen(until), _moments(room, until)
        now = present(room.seen(), room.desk.now())
        moments += _running(room, now) if until is None else []
        at = now if until is None else present(known, until)
        end = end_of_day(known, now)
        ahead = day_ahead(known, at) if end is not None else []
        offset = offset_min(known.experiment)
        return day_line([*moments, *ahead], at, end, live=now if until else None, offset_min=offset)

    return room.view(("day line", until), made)


def day_of_the_book(room: Room) -> Figure:
    """The whole shift, fallen at its last moment: the same figure whenever it is asked for."""
    moments = _moments(room, None)
    last = max((one.start for one in moments), key=moment, default=room.folder.events()[-1].time)
    return day_line(moments, moment(last).isoformat(), offset_min=offset_min(room.seen().experiment))


def _moments(room: Room, until: str | None) -> list[Moment]:
    known = room.seen(until)
    scans = [scan for group in known.scans.values() for scan in group]
    roles = dict(zip((arm.name for arm in known.experiment.arms), ARM_ROLES, strict=False))
    return moments_of(known.state, scans, roles, _verdicts(room, until), _below_since(room, until))


def _running(room: Room, now: str) -> list[Moment]:
    """The files that grow, each from when it was first seen to the present."""
    since = [moment(now) - timedelta(seconds=one.for_s) for one in room.running]
    return [Moment("scan", start.isoformat(), now, state="running") for start in since]


def _below_since(room: Room, until: str | None) -> str:
    """Since when the last load is below the typed limit, as "can we begin?" says it."""
    found = room.all_answers(until)["begin"]
    return (
        next((a.detail["since"] for a in found if a.detail.get("since")), "")
        if isinstance(found, list)
        else ""
    )


def _verdicts(room: Room, until: str | None) -> dict[str, str]:
    """What the tool says of every scan."""
    found = room.all_answers(until)["trust"]
    answers = found if isinstance(found, list) else []
    return {scan["scan"]: scan["verdict"] for answer in answers for scan in answer.detail["scans"].values()}
