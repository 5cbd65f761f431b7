"""The entrance: how a guest joins by the code on the Stage, and the host by the word in the terminal."""

from __future__ import annotations

from pydantic import Field
from starlette.responses import JSONResponse, RedirectResponse, Response

from edgeshift.web.access import COOKIE, LOOPBACK, SESSION_S, Rank
from edgeshift.web.door import Body, Call, Door
from edgeshift.web.pages import page, refused_page


class Code(Body):
    """The join code as somebody typed it."""

    code: str = Field(max_length=20, description="Six digits, as they stand on the Stage.")


class Word(Body):
    """The host's word."""

    word: str = Field(max_length=100)


class MaybeCode(Body):
    """The code may come with the address, from the square picture on the Stage."""

    code: str = Field("", max_length=20)


def home(call: Call) -> Response:
    """The first page of whoever comes: the Wing for the host, the Pocket for a guest, else the door."""
    first = {"host": "/wing", "guest": "/pocket", "stranger": "/join"}[call.visitor.rank]
    return RedirectResponse(first, 303)


def join_page(call: Call) -> Response:
    """Where a guest types the code."""
    return page(call, "entrance/join.html", code=call.query.code)


def join(call: Call) -> Response:
    """A guest's session, where the code is right."""
    limits = call.house.limits
    if not limits.joins.passes(call.address) or not limits.wrong_joins.passes("all"):
        return JSONResponse({"refused": "Too many tries. Wait a minute, then read the code again."}, 429)
    if not call.house.doors.joins(call.body.code):
        return JSONResponse({"refused": "That is not the code on the Stage. Read it again."}, 403)
    limits.joins.forget(call.address)
    return _with_ticket(JSONResponse({"next": "/pocket"}), call, "guest")


def host_door(to: str) -> Door:
    """The door by which the host comes in, on the host's own machine, and goes on `to` the first page."""

    def host(call: Call) -> Response:
        return _host(call, to)

    return Door("GET", "/host/{word}", "stranger", host, "Where the host comes in.", Word, kind="page")


def _host(call: Call, to: str) -> Response:
    if call.address not in LOOPBACK or not call.house.limits.joins.passes(f"host {call.address}"):
        return refused_page(call, 403, "The host comes in on the host's own machine.")
    if not call.house.doors.is_host(call.query.word):
        return refused_page(call, 403, "This address is of an earlier start. Take the one in the terminal.")
    return _with_ticket(RedirectResponse(to, 303), call, "host")


def _with_ticket(response: Response, call: Call, rank: Rank) -> Response:
    response.set_cookie(
        COOKIE, call.house.doors.ticket(rank), max_age=SESSION_S, httponly=True, samesite="strict"
    )
    return response


DOORS = (
    Door("GET", "/", "stranger", home, "The first page.", MaybeCode, kind="page"),
    Door("GET", "/join", "stranger", join_page, "Where a guest types the code.", MaybeCode, kind="page"),
    host_door("/wing"),
    Door("POST", "/api/join", "stranger", join, "Come in as a guest, by the code on the Stage.", body=Code),
)
