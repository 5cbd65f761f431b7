"""What stands on the Stage."""

from __future__ import annotations

from starlette.responses import Response

from edgeshift.actions.staging import staged
from edgeshift.records.room import View
from edgeshift.web.door import Call, Door
from edgeshift.web.fragments import address, day_line, picture, spoken, strip, then
from edgeshift.web.pages import page, say_of
from edgeshift.web.stage.joining import way_in
from edgeshift.web.wanted import Wanted

PICTURE = (1184, 392)
"""Pixels of the picture on a sheet of 1280 by 720."""


LONG = (62, 105)
"""Characters from which a sentence is set smaller, and smaller again, so that three lines hold it."""


def stage(call: Call) -> Response:
    """The Stage of this moment or of an earlier one."""
    now = staged(call.house.room, call.query.view, call.query.until, say_of(call))
    sentence = spoken(now.sentence, now.naming)
    caution = now.naming(now.caution)
    told = len(sentence.striptags()) + len(caution) + (len(say_of(call)("page.then")) if now.until else 0)
    return page(
        call,
        "stage/stage.html",
        shown=now,
        edges=[(edge, address("/stage", View(now.view.question, edge), now.until)) for edge in now.edges],
        all_edges=address("/stage", View(now.view.question), now.until),
        strip=strip(call, now),
        then=then(call, now),
        now=address("/stage", call.query.view),
        open_floor="",
        sentence=sentence,
        caution=caution,
        length=("", "long", "longest")[sum(told > most for most in LONG)],
        picture=picture(call, now, *PICTURE, few=True),
        day_line=day_line(call, now),
        invitation=[spoken(words, now.naming) for words in now.invitation],
        way_in=way_in(call.house),
    )


def join_sheet(call: Call) -> Response:
    """How to join, for the start of the shift: one large square, the address and the code."""
    return page(call, "stage/join.html", way_in=way_in(call.house))


DOORS = (
    Door("GET", "/stage", "guest", stage, "The Stage.", Wanted, kind="page"),
    Door("GET", "/stage/join", "guest", join_sheet, "How to join, in large.", kind="page"),
)
