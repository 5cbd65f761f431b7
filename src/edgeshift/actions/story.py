"""The story so far: from a folder, from a room, and rewound to any minute of the day."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from edgeshift.actions.ask import answers_of
from edgeshift.actions.desk import Desk
from edgeshift.actions.room import Room
from edgeshift.actions.session import Known, Session
from edgeshift.errors import QuestionRefused, Refusal
from edgeshift.figures.day_line import day_clock
from edgeshift.records.answer import Answer
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import moment
from edgeshift.records.story import Story, StoryMoment
from edgeshift.wording import story as words
from edgeshift.wording.day import clock
from edgeshift.wording.names import Naming, named, open_naming

MINUTE = re.compile(r"(\d{1,2}):(\d{2})")


class Told(NamedTuple):
    """A story, what everything in it is called, and what does not hold in the experiment text."""

    story: Story
    naming: Naming
    complaint: Refusal | None = None


def story(path: str | Path, until: str | None = None, *, desk: Desk, whole: bool = False) -> Told:
    """The story of the experiment at `path`, in a minute's reading or `whole`.

    `until` is ISO 8601 by the book, or a minute of the day as 12:40. Raises FolderRefused where there is no
    experiment, QuestionRefused for a time that is none of the shift's.
    """
    with desk.open(path) as folder:
        complaint = desk.accept_hand_edit(folder)
        session = Session(folder, desk)
        if until and MINUTE.fullmatch(until):
            until = _by_the_book(until, session.known())
        known = session.known(until)
        made = told_of(session, known, answers_of(session, known))
    return Told(made if whole else words.shortened(made), open_naming(known.experiment), complaint)


def told_of(session: Session, known: Known, answers: Sequence[Answer]) -> Story:
    """The whole story of a moment that the session remembers, with these answers."""
    scans = _scans(known)
    by_day = day_clock(known.state, scans)
    return words.told(known.experiment.question, known.state, scans, answers, by_day)


def _scans(known: Known) -> list[Scan]:
    return [scan for group in known.scans.values() for scan in group]


def room_story(room: Room, until: str | None = None, whole: bool = False) -> Told:
    """The story as the room may see it: behind the curtain where it was drawn at that moment."""

    def made() -> Told:
        known = room.seen(until)
        silent = {"minutes"} | (set() if known.state.pumping else {"begin"})  # cards may lie face down
        every = [
            one
            for answers in room.all_answers(until).values()
            if isinstance(answers, list)
            for one in answers
        ]
        found = [one for one in every if one.question not in silent]
        told = told_of(room.session, known, found)
        return Told(told if whole else words.shortened(told), open_naming(known.experiment))

    return room.view(("story", until, whole), made)


def moments_of_day(room: Room) -> list[StoryMoment]:
    """The moments of the story as the room may see it, but each scan one of its own."""
    known, trusted = room.seen(), room.all_answers()["trust"]
    scans, judged = _scans(known), trusted if isinstance(trusted, list) else []
    single = words.moments_in(known.state, scans, judged, day_clock(known.state, scans))
    others = [one for one in room_story(room, whole=True).story.moments if one.kind != "scans"]
    found = [*(one for one in single if one.kind == "scans"), *others]
    return sorted(found, key=lambda one: (moment(one.time), one.lines))


def as_plain(told: Told) -> dict[str, Any]:
    """A story as plain data, with names in it."""
    return named(asdict(told.story), told.naming)


def _by_the_book(said: str, known: Known) -> str:
    """When the book knew all that had happened by this minute of the day."""
    scans = _scans(known)
    moments = words.moments_in(known.state, scans, (), day_clock(known.state, scans))
    if not moments:
        raise QuestionRefused("the story", "a shift that has begun", "an empty book", "Take a file first.")
    first, last = moment(moments[0].time), moment(moments[-1].time)
    limit = _on_the_day(said, first)
    before = [one.known for one in moments if moment(one.time) <= limit]
    if not before:
        spans = f"{clock(first, 0)} to {clock(last, 0)} (UTC)"
        raise QuestionRefused("the time", f"a minute of the shift, {spans}", said, "Type a later one.")
    return max(before, key=moment)


def _on_the_day(said: str, first: datetime) -> datetime:
    """The whole of that minute on the day of the shift, or on the next where the shift ran past midnight."""
    hour, minute = map(int, said.split(":"))
    if hour > 23 or minute > 59:
        raise QuestionRefused("the time", "a minute of the day, as 12:40", said, "Type the time that way.")
    there = first.replace(hour=hour, minute=minute, second=59, microsecond=999_999)
    return there if there >= first or first - there < timedelta(hours=12) else there + timedelta(days=1)
