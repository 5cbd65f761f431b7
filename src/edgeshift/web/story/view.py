"""The story as a page: one line a moment, then what the answers say; a touched moment rewinds it."""

from __future__ import annotations

from typing import NamedTuple

from pydantic import Field
from starlette.responses import JSONResponse, Response

from edgeshift.actions.staging import staged
from edgeshift.actions.story import as_plain, room_story
from edgeshift.records.room import View
from edgeshift.records.shift_state import moment
from edgeshift.web.door import Body, Call, Door
from edgeshift.web.fragments import address, day_line, then
from edgeshift.web.pages import page, say_of
from edgeshift.wording import story as words
from edgeshift.wording.day import clock

PATH = "/story"


class Wanted(Body):
    """At which moment, and how much of it."""

    until: str | None = Field(None, max_length=40, description="ISO 8601: as it was known at that moment.")
    whole: bool = Field(False, description="Every moment; otherwise what is read aloud in a minute.")


class Line(NamedTuple):
    """One moment ready to be written: its time, our words, people's own, and where it is the present."""

    time: str
    kind: str
    words: str
    own: str
    address: str


def story(call: Call) -> Response:
    """The story of this moment or of an earlier one, as the room may know it."""
    room, asked = call.house.room, call.query
    told = room_story(room, asked.until, asked.whole)
    now = staged(room, None, asked.until, say_of(call))
    name = told.naming
    lines = [
        Line(
            clock(moment(one.time), 0),
            one.kind,
            name(one.words),
            name(one.own),
            address(PATH, None, one.known),
        )
        for one in told.story.moments
    ]
    answers = [
        (name(words.answer_line(one)), address("/stage", View(one.question, one.edge), asked.until))
        for one in told.story.answers
    ]
    return page(
        call,
        "story/story.html",
        question=told.story.question,
        lines=lines,
        nothing=words.NOTHING,
        left_out=words.left_out(told.story.left_out) if told.story.left_out else "",
        whole=address(PATH, None, asked.until, whole=1),
        answers=answers,
        until=asked.until,
        then=then(call, now),
        now=address(PATH, None, None, whole=int(asked.whole)),
        stage=address("/stage", None, asked.until),
        day_line=day_line(call, now),
    )


def as_json(call: Call) -> Response:
    """The same as data: always a list, as the command line prints it."""
    asked = call.query
    return JSONResponse([as_plain(room_story(call.house.room, asked.until, asked.whole))])


DOORS = (
    Door("GET", PATH, "guest", story, "The story so far.", Wanted, kind="page"),
    Door("GET", "/api/story", "guest", as_json, "The story so far, in order.", Wanted),
)
