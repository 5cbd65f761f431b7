"""Who may come in: strangers read the door, guests look and take part, the host alone changes anything else.

Doors     the join code, the host's own address, signed sessions
Limits    how often somebody may knock, and how much they may send
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections import OrderedDict, deque
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from itsdangerous import BadSignature, URLSafeTimedSerializer

Rank = Literal["stranger", "guest", "host"]
RANKS: tuple[Rank, ...] = ("stranger", "guest", "host")
COOKIE = "edgeshift"
SESSION_S = 12 * 3600
"""A shift is eight hours; nobody should have to join twice."""
LOOPBACK = frozenset(("127.0.0.1", "::1", "::ffff:127.0.0.1"))
BODY_BYTES = {"stranger": 1_000, "guest": 40_000, "host": 1_000_000}
"""The most that somebody may send at once."""

NOTEBOOK = "notebook"
"""Where the host's word comes from that a script shows: it has no seat in the room."""


class Visitor(NamedTuple):
    """Whoever asks: the rank, and a seat drawn by lot. There is no name anywhere."""

    rank: Rank = "stranger"
    seat: str = ""

    def may(self, needed: Rank) -> bool:
        """Whether this rank is enough."""
        return RANKS.index(self.rank) >= RANKS.index(needed)


class Doors:
    """The ways in, for one room on one machine.

    `key` is the machine's own secret and `room` names the experiment: a session of another room opens
    nothing here. The join code stays the same for a day, so that a restart locks nobody out; the host's
    word is new at every start and only ever printed in the host's terminal.
    """

    def __init__(self, key: bytes, room: str, day: str) -> None:
        self._signed = URLSafeTimedSerializer(key, salt=f"edgeshift {room}")
        number = int.from_bytes(hmac.digest(key, f"join {room} {day}".encode(), hashlib.sha256)[:8], "big")
        self.join_code = f"{number % 1_000_000:06d}"
        self.host_word = secrets.token_urlsafe(18)

    def joins(self, code: str) -> bool:
        """Whether this is the join code."""
        return hmac.compare_digest(code.strip().encode(), self.join_code.encode())

    def is_host(self, word: str) -> bool:
        """Whether this is the host's word."""
        return hmac.compare_digest(word.encode(), self.host_word.encode())

    def ticket(self, rank: Rank) -> str:
        """A signed session of that rank, with a seat of its own."""
        return self._signed.dumps([rank, secrets.token_hex(6)])

    def visitor(self, ticket: str | None, address: str, word: str | None = None) -> Visitor:
        """Who shows this ticket, or the host's word in its place.

        Both make a host on the host's own machine only.
        """
        if word is not None:
            here = address in LOOPBACK and self.is_host(word)
            return Visitor("host", NOTEBOOK) if here else Visitor()
        try:
            rank, seat = self._signed.loads(ticket or "", max_age=SESSION_S)
        except (BadSignature, ValueError, TypeError):
            return Visitor()
        if rank == "host" and address not in LOOPBACK:
            return Visitor()
        return Visitor(rank, seat)


@dataclass
class Limit:
    """At most `most` in `per_s` seconds for each key; old keys are forgotten, so memory stays bounded."""

    most: int
    per_s: float
    clock: Callable[[], float] = time.monotonic
    keys: int = 4096
    _seen: OrderedDict[str, deque] = field(default_factory=OrderedDict)

    def passes(self, key: str) -> bool:
        """Count one more for `key`; False where it was one too many."""
        now = self.clock()
        times = self._seen.setdefault(key, deque())
        self._seen.move_to_end(key)
        while len(self._seen) > self.keys:
            self._seen.popitem(last=False)
        while times and now - times[0] > self.per_s:
            times.popleft()
        if len(times) >= self.most:
            return False
        times.append(now)
        return True

    def forget(self, key: str) -> None:
        """Begin anew for `key`: ten people behind one address may all join."""
        self._seen.pop(key, None)


@dataclass
class Limits:
    """What this room bears: joins by one address and by all, acts and requests of one seat."""

    joins: Limit = field(default_factory=lambda: Limit(8, 60.0))
    wrong_joins: Limit = field(default_factory=lambda: Limit(120, 60.0))
    acts: Limit = field(default_factory=lambda: Limit(60, 60.0))
    requests: Limit = field(default_factory=lambda: Limit(1200, 60.0))
