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
from edgeshift.wording.screen import say

PART = "x-part"
"""A page that is open already asks with this header, and gets its parts alone."""
THEMES = ("light", "dark")
THEME_COOKIE = "edgeshift-room"


@cache
def _templates() -> Environment:
    """Every view keeps its templates beside its code."""
    made = Environment(
        loader=PackageLoader("edgeshift", "web"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["asset"] = address_of
    made.globals["say"] = say
    made.filters["mark"] = mark_of
    return made


def page(call: Call, template: str, **data: Any) -> HTMLResponse:
    """The page, or only its parts where an open page asks for them."""
    alone = call.request.headers.get(PART) == "1"
    text = (
        _templates()
        .get_template(template)
        .render(
            alone=alone,
            visitor=call.visitor,
            theme=theme_of(call),
            revision=call.house.room.revision,
            **data,
        )
    )
    return _packed(call, text)


def _packed(call: Call, text: str) -> HTMLResponse:
    """The reply, packed where the browser can open that: a phone in a full room waits for every byte."""
    if "gzip" not in call.request.headers.get("accept-encoding", ""):
        return HTMLResponse(text)
    return HTMLResponse(gzip.compress(text.encode(), 5), headers={"content-encoding": "gzip"})


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
