"""The live stream: one long reply to every open page, which says only that something changed."""

from __future__ import annotations

from starlette.responses import Response, StreamingResponse

from edgeshift.web.door import Call, Door


def events(call: Call) -> Response:
    """Server-sent events: `change` with the new revision, `sleep` where a browser has too many pages open."""
    stream = call.house.hub.stream(call.visitor.seat, call.house.room.revision)
    return StreamingResponse(stream, media_type="text/event-stream")


DOORS = (Door("GET", "/events", "guest", events, "Says when something changed.", kind="stream"),)
