"""A door: one address of the page or of its JSON, who may use it, and what it takes.

All doors stand in tables, so that the application, its description and the tests that try every rank at every
door read the same list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from http import HTTPStatus
from typing import TYPE_CHECKING, Any, Literal

from pydantic import BaseModel, ConfigDict, ValidationError
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, PlainTextResponse, Response

from edgeshift.errors import Refusal
from edgeshift.web.access import BODY_BYTES, Rank, Visitor

OF_EVERY_PAGE = ("room", "lang")
"""The light of the room and the language may be said at every page's address."""

if TYPE_CHECKING:
    from edgeshift.web.house import House


class Body(BaseModel):
    """What somebody sends. Unknown fields are refused, so that a misspelt one is never ignored."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Nothing(Body):
    """No fields at all."""


@dataclass(frozen=True)
class Call:
    """One request as a handler sees it: the house, who asks, and what was sent, already checked."""

    house: House
    visitor: Visitor
    request: Request
    query: Any = field(default_factory=Nothing)
    body: Any = field(default_factory=Nothing)

    @property
    def address(self) -> str:
        """Where the request comes from."""
        return self.request.client.host if self.request.client else ""


@dataclass(frozen=True)
class Door:
    """`handler(call)` answers `method path` for whoever has at least the rank `needs`.

    `query` and `body` are checked before it is called; `says` is one line for the description; `kind` tells
    pages from JSON, and pictures and streams from both.
    """

    method: Literal["GET", "POST"]
    path: str
    needs: Rank
    handler: Callable[[Call], Response]
    says: str
    query: type[Body] = Nothing
    body: type[Body] = Nothing
    kind: Literal["json", "page", "picture", "stream", "asset"] = "json"

    async def answer(self, request: Request) -> Response:
        """Check everything, then let the handler answer in a thread of its own."""
        house: House = request.app.state.house
        visitor = house.visitor(request)
        try:
            trouble = self._trouble(house, visitor, request)
            if trouble:
                return self._no(*trouble)
            call = Call(house, visitor, request, self._query(request), await self._body(request, visitor))
            return await run_in_threadpool(self._handled, call)
        except _NotSo as no:
            return self._no(no.status, no.words)
        except Refusal as refusal:
            return self._no(HTTPStatus.UNPROCESSABLE_ENTITY, str(refusal), refusal)

    def _handled(self, call: Call) -> Response:
        try:
            return self.handler(call)
        except Refusal as refusal:
            raise call.house.room.hushed(refusal) from None

    def _trouble(self, house: House, visitor: Visitor, request: Request) -> tuple[HTTPStatus, str] | None:
        if not visitor.may(self.needs):
            if visitor.rank == "stranger":
                return HTTPStatus.UNAUTHORIZED, "Join first: type the code that stands on the Stage."
            return HTTPStatus.FORBIDDEN, "Only the host changes this."
        if self.kind == "asset":
            return None
        knocker = visitor.seat or (request.client.host if request.client else "")
        if not house.limits.requests.passes(knocker):
            return HTTPStatus.TOO_MANY_REQUESTS, "Too many requests from here. Wait a minute."
        if self.method == "POST" and visitor.rank != "host" and not house.limits.acts.passes(knocker):
            return HTTPStatus.TOO_MANY_REQUESTS, "Too many acts at once. Wait a minute, then go on."
        return None

    def _query(self, request: Request) -> Body:
        said: dict[str, Any] = dict(request.query_params)
        if self.kind == "page":
            said = {name: value for name, value in said.items() if name not in OF_EVERY_PAGE}
        return _checked(self.query, {**said, **request.path_params})

    async def _body(self, request: Request, visitor: Visitor) -> Body:
        if self.method != "POST":
            return Nothing()
        try:
            data = await request.body()
        except ClientDisconnect:
            raise _NotSo(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "That is more than an act may hold.") from None
        if len(data) > BODY_BYTES[visitor.rank]:
            raise _NotSo(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "That is more than an act may hold.")
        return _checked_json(self.body, data)

    def _no(self, status: HTTPStatus, words: str, refusal: Refusal | None = None) -> Response:
        if self.kind == "json":
            return JSONResponse({"refused": words, **_parts(refusal)}, status)
        return PlainTextResponse(words, status)


class _NotSo(Exception):
    """What was sent cannot be used."""

    def __init__(self, status: HTTPStatus, words: str) -> None:
        self.status, self.words = status, words
        super().__init__(words)


def _parts(refusal: Refusal | None) -> Mapping[str, str]:
    if refusal is None:
        return {}
    return {name: getattr(refusal, name) for name in ("thing", "needed", "found", "act")}


def _checked(model: type[Body], said: Mapping[str, Any]) -> Body:
    try:
        return model.model_validate(said)
    except ValidationError as trouble:
        raise _NotSo(HTTPStatus.UNPROCESSABLE_ENTITY, _in_words(trouble)) from None


def _checked_json(model: type[Body], data: bytes) -> Body:
    try:
        return model.model_validate_json(data or b"{}")
    except ValidationError as trouble:
        raise _NotSo(HTTPStatus.UNPROCESSABLE_ENTITY, _in_words(trouble)) from None


def _in_words(trouble: ValidationError) -> str:
    """The first fault as one sentence."""
    first = trouble.errors(include_url=False, include_input=False)[0]
    where = ".".join(map(str, first["loc"])) or "what was sent"
    return f"{where}: {first['msg'][:1].lower()}{first['msg'][1:]}. Send it again without that."
