"""The description of every JSON door, as OpenAPI 3.1, made from the same table that serves them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from starlette.responses import JSONResponse, Response

from edgeshift import __version__
from edgeshift.web.door import Body, Call, Door, Nothing

REFUSALS = {
    "401": "Join first.",
    "403": "Only the host may.",
    "413": "More than an act may hold.",
    "422": "It cannot be done as it was asked; the sentence says why and what to do.",
    "429": "Too many at once.",
}
ALWAYS = {
    "400": "Another host's name was asked for.",
    "415": "Acts are sent as JSON.",
}
REFUSED = {
    "type": "object",
    "required": ["refused"],
    "properties": {name: {"type": "string"} for name in ("refused", "thing", "needed", "found", "act")},
}
KINDS = {"json": "application/json", "picture": "image/svg+xml"}


def describing(doors: Iterable[Door]) -> Door:
    """The door that hands the description out."""
    made = description(tuple(doors))

    def handler(call: Call) -> Response:
        return JSONResponse(made)

    return Door("GET", "/api/openapi.json", "guest", handler, "This description.")


def description(doors: tuple[Door, ...]) -> dict[str, Any]:
    """OpenAPI 3.1 of these doors: their queries, bodies and replies."""
    paths: dict[str, dict] = {}
    for door in doors:
        paths.setdefault(door.path, {})[door.method.lower()] = _operation(door)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "edgeshift: the room",
            "version": __version__,
            "description": "Answers and acts of one shift. Guests look, guess, vote, claim; hosts change.",
        },
        "paths": paths,
        "components": {
            "securitySchemes": {
                "session": {"type": "apiKey", "in": "cookie", "name": "edgeshift"},
                "host": {"type": "http", "scheme": "bearer"},
            },
            "schemas": {"Refused": REFUSED},
        },
        "security": [{"session": []}, {"host": []}],
    }


def _operation(door: Door) -> dict[str, Any]:
    operation: dict[str, Any] = {
        "summary": door.says,
        "operationId": f"{door.method.lower()}{door.path.replace('/', '-')}",
        "tags": [door.needs],
        "parameters": _parameters(door.query),
        "responses": {
            "200": {"description": "Done.", "content": {KINDS[door.kind]: {"schema": _reply(door)}}},
            **{code: _refusal(words) for code, words in REFUSALS.items()},
            **({code: _text(words) for code, words in ALWAYS.items()} if door.method == "POST" else {}),
        },
    }
    if door.needs == "stranger":
        operation["security"] = []
    if door.method == "POST":
        schema = door.body.model_json_schema(ref_template="#/components/schemas/{model}")
        schema.pop("$defs", None)
        operation["requestBody"] = {"required": True, "content": {"application/json": {"schema": schema}}}
    return operation


def _parameters(query: type[Body]) -> list[dict[str, Any]]:
    if query is Nothing:
        return []
    whole = query.model_json_schema()
    needed = whole.get("required", ())
    return [
        {"name": name, "in": "query", "required": name in needed, "schema": schema,
         "description": schema.get("description", "")}
        for name, schema in whole["properties"].items()
    ]  # fmt: skip


def _reply(door: Door) -> dict[str, str]:
    return {"type": "string"} if door.kind == "picture" else {}


def _refusal(words: str) -> dict[str, Any]:
    schema = {"$ref": "#/components/schemas/Refused"}
    return {"description": words, "content": {"application/json": {"schema": schema}}}


def _text(words: str) -> dict[str, Any]:
    return {"description": words, "content": {"text/plain": {"schema": {"type": "string"}}}}
