"""Pages: templates filled with data, whole at first, only their parts when something changed."""

from __future__ import annotations

import gzip
import hashlib
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from markupsafe import Markup
from starlette.responses import HTMLResponse

from edgeshift.web.assets import address_of
from edgeshift.web.door import Call
from edgeshift.wording.screen import LANGUAGES, Say, language_for

PART = "x-part"
"""A page that is open already asks with this header, and gets its parts alone."""
THEMES = ("light", "dark")
THEME_COOKIE = "edgeshift-room"
LANGUAGE_COOKIE = "edgeshift-lang"
REMEMBERED_S = 180 * 86_400
"""A browser keeps its light and its language for half a year."""


@cache
def _templates(say: Say) -> Environment:
    """Every view keeps its templates beside its code; in all of them `say` speaks one language."""
    made = Environment(
        loader=PackageLoader("edgeshift", "web"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["asset"] = address_of
    made.globals["say"] = say
    made.globals["languages"] = tuple(LANGUAGES)
    made.filters["mark"] = mark_of
    return made


def page(call: Call, template: str, **data: Any) -> HTMLResponse:
    """The page, or only its parts where an open page asks for them."""
    alone = call.request.headers.get(PART) == "1"
    say = say_of(call)
    text = (
        _templates(say)
        .get_template(template)
        .render(
            alone=alone,
            visitor=call.visitor,
            theme=theme_of(call),
            revision=call.house.room.revision,
            **data,
        )
    )
    return _remembering(_packed(call, text), call, say)


def refused_page(call: Call, status: int, words: str) -> HTMLResponse:
    """A page that is not given, why not, and the way to one that is."""
    reply = page(call, "refused.html", words=words)
    reply.status_code = status
    return reply


def _packed(call: Call, text: str) -> HTMLResponse:
    """The reply, packed where the browser can open that: a phone in a full room waits for every byte."""
    if "gzip" not in call.request.headers.get("accept-encoding", ""):
        return HTMLResponse(text)
    return HTMLResponse(gzip.compress(text.encode(), 5), headers={"content-encoding": "gzip"})


def _remembering(reply: HTMLResponse, call: Call, say: Say) -> HTMLResponse:
    """What somebody chose by the address stays chosen without it."""
    chosen = call.request.query_params
    if chosen.get("room") in THEMES:
        reply.set_cookie(THEME_COOKIE, theme_of(call), REMEMBERED_S, samesite="strict")
    if chosen.get("lang") in LANGUAGES:
        reply.set_cookie(LANGUAGE_COOKIE, say.language, REMEMBERED_S, samesite="strict")
    return reply


def say_of(call: Call) -> Say:
    """The language of the page: as the address says, as this browser was last told, or as it prefers."""
    request = call.request
    said = request.query_params.get("lang") or request.cookies.get(LANGUAGE_COOKIE)
    if said not in LANGUAGES:
        said = language_for(request.headers.get("accept-language", ""))
    return Say(said)


def theme_of(call: Call) -> str:
    """The room is light or dark, as this browser was last told."""
    said = call.request.query_params.get("room") or call.request.cookies.get(THEME_COOKIE)
    return said if said in THEMES else "light"


def drawing(svg: str) -> Markup:
    """A picture of ours, as it stands: drawing escapes every word of it."""
    return Markup(svg)  # noqa: S704


def mark_of(text: str) -> str:
    """A few letters that change when the text does, so that a page swaps only what changed."""
    return hashlib.blake2s(text.encode(), digest_size=6).hexdigest()
