"""Scripts, styles and fonts: read once, named by their content, and kept by the browser for good."""

from __future__ import annotations

import gzip
import hashlib
import re
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import NamedTuple

from starlette.responses import PlainTextResponse, Response

from edgeshift.drawing.tokens import as_style_sheet
from edgeshift.publish.press import page_fonts
from edgeshift.web.door import Body, Call, Door

TYPES = {
    "js": "text/javascript; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "ttf": "font/ttf",
    "svg": "image/svg+xml",
}
_IMPORTED = re.compile(rb'(\b(?:from|import) ")\./([a-z_]+\.js)(";)')
SHARED = ("sheet.css", "pencil.css", "pencil.js")
FOR_GOOD = "public, max-age=31536000, immutable"


class Asset(NamedTuple):
    """One file, packed, under an address that changes with its content."""

    name: str
    mark: str
    data: bytes
    kind: str

    @property
    def address(self) -> str:
        """Where a page finds it."""
        return f"/a/{self.mark}/{self.name}"


@cache
def assets() -> Mapping[str, Asset]:
    """Every asset by its name."""
    plain = {entry.name: entry.read_bytes() for entry in _files()}
    plain["tokens.css"] = as_style_sheet().encode()
    plain.update(page_fonts())
    fonts = {name: _asset(name, data) for name, data in plain.items() if name.endswith(".ttf")}
    faces = "".join(_face(name, asset.address) for name, asset in fonts.items())
    plain["fonts.css"] = faces.encode()
    plain = {name: _linked(name, plain) for name in plain}
    return {name: _asset(name, data) for name, data in plain.items()}


def _files() -> Iterator[Traversable]:
    """Our own, and those that pages share with an exhibit that stands alone."""
    yield from (entry for entry in (files("edgeshift.web") / "static").iterdir() if entry.is_file())
    yield from (files("edgeshift.publish") / "page" / name for name in SHARED)


def address_of(name: str) -> str:
    """Where a page finds the asset of that name."""
    return assets()[name].address


def _linked(name: str, plain: Mapping[str, bytes]) -> bytes:
    """A script whose `from "./other.js"` names the address of the other as it is now."""
    if not name.endswith(".js"):
        return plain[name]

    def address(found: re.Match) -> bytes:
        other = found[2].decode()
        return found[1] + _asset(other, _linked(other, plain)).address.encode() + found[3]

    return _IMPORTED.sub(address, plain[name])


def _asset(name: str, data: bytes) -> Asset:
    mark = hashlib.sha256(data).hexdigest()[:12]
    return Asset(name, mark, gzip.compress(data, 9, mtime=0), TYPES[name.rpartition(".")[2]])


def _face(name: str, address: str) -> str:
    family = "Literata" if name.startswith("literata") else "Atkinson Hyperlegible"
    weight = 700 if "bold" in name else 400
    style = "italic" if "italic" in name else "normal"
    return (
        f"@font-face{{font-family:'{family}';font-weight:{weight};font-style:{style};"
        f"font-display:swap;src:url({address}) format('truetype')}}\n"
    )


class Named(Body):
    """Which asset."""

    mark: str
    name: str


def asset(call: Call) -> Response:
    """One asset, as it was when the page was made."""
    found = assets().get(call.query.name)
    if found is None or found.mark != call.query.mark:
        return PlainTextResponse("There is no such file. Open the page anew.", 404)
    headers = {"content-encoding": "gzip", "cache-control": FOR_GOOD, "vary": "accept-encoding"}
    return Response(found.data, 200, headers, found.kind)


DOORS = (Door("GET", "/a/{mark}/{name}", "stranger", asset, "A script, style or font.", Named, kind="asset"),)
