"""The guard at every door: which host was asked for, from which page, how much, and under which rules.

Over plain http on a local network a browser sends Origin and nothing better, so whatever changes something
must come from this very page; and it must name a host that is ours, or another site could bend its own name
to our address.
"""

from __future__ import annotations

from collections.abc import Iterable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from edgeshift.web.access import BODY_BYTES

SAFE_METHODS = ("GET", "HEAD")
RULES = (
    b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self';"
    b" connect-src 'self'; form-action 'self'; frame-src 'self'; frame-ancestors 'self'; base-uri 'none'"
)
HEADERS = (
    (b"content-security-policy", RULES),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


class Guard:
    """Wraps the whole application. `hosts` are the names and addresses that are ours, without port."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self.app, self.hosts = app, frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what is in order, with the rules of the house on every reply."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        trouble = self._trouble(scope)
        if trouble:
            await _refuse(send, *trouble)
            return
        await self.app(scope, _bounded(receive, BODY_BYTES["host"]), _with_headers(send))

    def _trouble(self, scope: Scope) -> tuple[int, str] | None:
        asked = {name: value.decode("latin-1") for name, value in scope["headers"]}
        host = asked.get(b"host", "")
        if _without_port(host) not in self.hosts:
            return 400, "This page answers under its own address only."
        if scope["method"] in SAFE_METHODS:
            return None
        # a notebook shows the host's word itself; no other page can make a browser do that
        by_word = b"authorization" in asked and b"cookie" not in asked
        if not by_word and asked.get(b"origin") != f"{scope['scheme']}://{host}":
            return 403, "Acts are taken from this page only. Open it and do it there."
        if not asked.get(b"content-type", "").startswith("application/json"):
            return 415, "Acts are sent as JSON."
        length = asked.get(b"content-length", "0")
        if not length.isdecimal() or int(length) > BODY_BYTES["host"]:
            return 413, "That is more than an act may hold."
        return None


def _without_port(host: str) -> str:
    name, _, port = host.rpartition(":")
    return (name if name and port.isdecimal() else host).lower()


def _bounded(receive: Receive, most: int) -> Receive:
    """The same messages, cut where more comes than was announced."""
    held = 0

    async def bounded() -> Message:
        nonlocal held
        message = await receive()
        held += len(message.get("body", b""))
        return message if held <= most else {"type": "http.disconnect"}

    return bounded


def _with_headers(send: Send) -> Send:
    async def guarded(message: Message) -> None:
        if message["type"] == "http.response.start":
            names = {name for name, _ in message["headers"]}
            message["headers"] = [*message["headers"], *HEADERS]
            if b"cache-control" not in names:
                message["headers"].append((b"cache-control", b"no-store"))
        await send(message)

    return guarded


async def _refuse(send: Send, status: int, words: str) -> None:
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"cache-control", b"no-store"), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": words.encode()})
