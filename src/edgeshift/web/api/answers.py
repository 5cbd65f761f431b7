"""What is known, as JSON and as pictures: answers, tables, the state of the room."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from pydantic import Field
from starlette.responses import JSONResponse, Response

from edgeshift.actions.dealing import lie_face_down
from edgeshift.actions.staging import staged
from edgeshift.drawing import picture
from edgeshift.figures import tables_of, two_strips, windowed
from edgeshift.records.room import View
from edgeshift.web.door import Body, Call, Door
from edgeshift.wording.names import named
from edgeshift.wording.plain import as_json

Question = Literal["begin", "here", "trust", "real", "minutes", "say"]


class Asked(Body):
    """A question, narrowed to an edge, to two scans, or to a moment."""

    question: Question = Field(description="One of the six.")
    edge: str | None = Field(None, max_length=40, description="As 'Al K'.")
    a: str | None = Field(None, max_length=300, description="A scan to compare: its key, number or file.")
    b: str | None = Field(None, max_length=300, description="The scan to compare it with.")
    until: str | None = Field(None, max_length=40, description="ISO 8601: as it was known at that moment.")
    down: bool = Field(False, description="Cards that lie face down stay so, even for the host.")

    @property
    def view(self) -> View:
        """The same as a view."""
        return View(self.question, self.edge, (self.a, self.b) if self.a and self.b else None)


class Windowed(Asked):
    """The picture of an answer, perhaps of a part of its ruler."""

    low: float | None = Field(None, description="Where the picture begins, in the unit of its ruler.")
    high: float | None = Field(None, description="Where it ends.")
    width: int = Field(1184, ge=200, le=4000, description="Pixels.")
    height: int = Field(392, ge=150, le=3000, description="Pixels.")
    few: bool = Field(False, description="Two strips a plot, for a room; otherwise all of them.")
    theme: Literal["light", "dark"] = Field("light", description="The room.")


class AllRows(Asked):
    """The numbers of a picture."""

    full: bool = Field(False, description="Every row; otherwise at most about sixty.")


def _sees_faces(call: Call) -> bool:
    """The host sees cards that lie face down, but not where a page shows them to the room."""
    return call.visitor.may("host") and not call.query.down


def answers(call: Call) -> Response:
    """The answers to one question: always a list, as the command line prints it.

    Guests see no cards that lie face down.
    """
    room, asked = call.house.room, call.query
    found = room.ask(asked.view, asked.until)
    if not _sees_faces(call) and asked.question == "minutes" and lie_face_down(room.known(asked.until).state):
        found = [replace(one, because=(), detail={**one.detail, "cards": []}) for one in found]
    return Response(as_json(found, room.naming(asked.until)), media_type="application/json")


def drawn(call: Call) -> Response:
    """The picture of an answer as SVG."""
    room, asked = call.house.room, call.query
    now = staged(room, asked.view, asked.until, for_host=_sees_faces(call))
    figure = two_strips(now.figure) if asked.few else now.figure
    if asked.low is not None and asked.high is not None:
        figure = windowed(figure, asked.low, asked.high)
    svg = picture(figure, asked.width, asked.height, asked.theme, naming=now.naming, looks=now.looks)
    return Response(svg, media_type="image/svg+xml")


def tables(call: Call) -> Response:
    """The numbers of a picture, for reading aloud, for hearing and for a notebook."""
    asked = call.query
    now = staged(call.house.room, asked.view, asked.until, for_host=_sees_faces(call))
    tables = [
        {"title": one.title, "columns": list(one.columns), "rows": [list(row) for row in one.rows]}
        for one in tables_of(now.figure, full=asked.full)
    ]
    return JSONResponse(named(tables, now.naming))


def state(call: Call) -> Response:
    """The state of the room: its revision, files that grow or could not be taken, and what is shown."""
    room = call.house.room
    known = room.known()
    shown = known.state.shown
    return JSONResponse(
        {
            "revision": room.revision,
            "scans": len(known.state.arrivals),
            "running": [{"file": one.name, "bytes": one.size, "for_s": round(one.for_s, 1)}
                        for one in room.running_seen],
            "refused": [one._asdict() for one in room.refused_seen] if call.visitor.may("host") else [],
            "curtain": "drawn" if known.state.curtain else "open",
            "shown": shown and {"question": shown.now.question, "edge": shown.now.edge},
        }
    )  # fmt: skip


DOORS = (
    Door("GET", "/api/answers", "guest", answers, "The answers to one question.", Asked),
    Door(
        "GET", "/api/picture", "guest", drawn, "The picture of an answer, as SVG.", Windowed, kind="picture"
    ),
    Door("GET", "/api/tables", "guest", tables, "The numbers of that picture.", AllRows),
    Door("GET", "/api/state", "guest", state, "The state of the room."),
)
