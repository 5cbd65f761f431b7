"""What stands on the Stage."""

from __future__ import annotations

from pydantic import Field
from starlette.responses import Response

from edgeshift.actions.staging import staged
from edgeshift.records.answer import QUESTIONS
from edgeshift.records.room import View
from edgeshift.web.door import Body, Call, Door
from edgeshift.web.fragments import address, day_line, picture, spoken, strip, then
from edgeshift.web.pages import page
from edgeshift.web.stage.joining import way_in

PICTURE = (1184, 392)
"""Pixels of the picture on a sheet of 1280 by 720."""


class Wanted(Body):
    """Which view, at which moment; empty: what the host shows, now."""

    question: str | None = Field(None, max_length=20)
    edge: str | None = Field(None, max_length=40)
    a: str | None = Field(None, max_length=300)
    b: str | None = Field(None, max_length=300)
    until: str | None = Field(None, max_length=40)
    room: str = Field("", max_length=10)

    @property
    def view(self) -> View | None:
        """The view that was asked for, if any."""
        if self.question not in QUESTIONS:
            return None
        return View(self.question, self.edge, (self.a, self.b) if self.a and self.b else None)


def stage(call: Call) -> Response:
    """The Stage of this moment or of an earlier one."""
    now = staged(call.house.room, call.query.view, call.query.until)
    return page(
        call,
        "stage/stage.html",
        shown=now,
        edges=[(edge, address("/stage", View(now.view.question, edge), now.until)) for edge in now.edges],
        strip=strip(call, now),
        then=then(now),
        open_floor="",
        sentence=spoken(now.sentence, now.naming),
        picture=picture(call, now, *PICTURE),
        day_line=day_line(call, now),
        invitation=[spoken(words, now.naming) for words in now.invitation],
        way_in=way_in(call.house),
    )


def join_sheet(call: Call) -> Response:
    """How to join, for the start of the shift: one large square, the address and the code."""
    return page(call, "stage/join.html", way_in=way_in(call.house))


class OnlyRoom(Body):
    """Light or dark."""

    room: str = Field("", max_length=10)


DOORS = (
    Door("GET", "/stage", "guest", stage, "The Stage.", Wanted, kind="page"),
    Door("GET", "/stage/join", "guest", join_sheet, "How to join, in large.", OnlyRoom, kind="page"),
)
