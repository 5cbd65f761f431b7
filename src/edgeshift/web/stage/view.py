"""What stands on the Stage."""

from __future__ import annotations

from pydantic import Field
from starlette.responses import Response

from edgeshift.actions.staging import staged
from edgeshift.records.answer import QUESTIONS
from edgeshift.records.room import View
from edgeshift.web.door import Body, Call, Door
from edgeshift.web.fragments import address, day_line, picture, spoken, strip, then
from edgeshift.web.pages import page, say_of

PICTURE = (1184, 392)
"""Pixels of the picture on a sheet of 1280 by 720."""


LONG = (62, 105)
"""Characters from which a sentence is set smaller, and smaller again, so that three lines hold it."""


class Wanted(Body):
    """Which view, at which moment; empty: what the host shows, now."""

    question: str | None = Field(None, max_length=20)
    edge: str | None = Field(None, max_length=40)
    a: str | None = Field(None, max_length=300)
    b: str | None = Field(None, max_length=300)
    until: str | None = Field(None, max_length=40)

    @property
    def view(self) -> View | None:
        """The view that was asked for, if any."""
        if self.question not in QUESTIONS:
            return None
        return View(self.question, self.edge, (self.a, self.b) if self.a and self.b else None)


def stage(call: Call) -> Response:
    """The Stage of this moment or of an earlier one."""
    now = staged(call.house.room, call.query.view, call.query.until, say_of(call))
    sentence = spoken(now.sentence, now.naming)
    told = len(sentence.striptags()) + (len(say_of(call)("page.then")) if now.until else 0)
    return page(
        call,
        "stage/stage.html",
        shown=now,
        edges=[(edge, address("/stage", View(now.view.question, edge), now.until)) for edge in now.edges],
        strip=strip(call, now),
        then=then(call, now),
        now=address("/stage", call.query.view),
        open_floor="",
        sentence=sentence,
        length=("", "long", "longest")[sum(told > most for most in LONG)],
        picture=picture(call, now, *PICTURE, few=True),
        day_line=day_line(call, now),
    )


DOORS = (Door("GET", "/stage", "guest", stage, "The Stage.", Wanted, kind="page"),)
