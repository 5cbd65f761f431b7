"""What stands on the Stage."""

from __future__ import annotations

from starlette.responses import Response

from edgeshift.actions.staging import staged
from edgeshift.records.room import View
from edgeshift.web.door import Call, Door
from edgeshift.web.fragments import address, day_line, picture, spoken, strip, then
from edgeshift.web.pages import page
from edgeshift.web.stage.joining import way_in
from edgeshift.web.wanted import OnlyRoom, Wanted

PICTURE = (1184, 392)
"""Pixels of the picture on a sheet of 1280 by 720."""


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


DOORS = (
    Door("GET", "/stage", "guest", stage, "The Stage.", Wanted, kind="page"),
    Door("GET", "/stage/join", "guest", join_sheet, "How to join, in large.", OnlyRoom, kind="page"),
)
