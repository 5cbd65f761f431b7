"""The hub: tells every open page that something changed. It carries no data, only the new revision."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator

KEPT = 4
"""Notices waiting for a slow page; the newest says all, so older ones may fall away."""
STREAMS_OF_A_SEAT = 5
"""A browser allows about six connections to a host, and the Wing alone has two pages open; one page more puts
the oldest to sleep."""
BEAT_S = 15.0
"""A page that hears nothing for so long gets a sign of life, so that dead connections are noticed."""
SLEEP = "sleep"


class Hub:
    """Belongs to one event loop; `tell` may be called from any thread."""

    def __init__(self) -> None:
        self._loop: asyncio.AbstractEventLoop | None = None
        self._streams: dict[str, list[asyncio.Queue]] = {}

    def open(self) -> None:
        """Bind to the running loop."""
        self._loop = asyncio.get_running_loop()

    def close(self) -> None:
        """End every stream; a page then waits and tries again."""
        for queues in self._streams.values():
            for waiting in queues:
                _put(waiting, None)

    def close_soon(self) -> None:
        """The same, from outside the loop."""
        if self._loop and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self.close)

    def tell(self, revision: str) -> None:
        """Tell every page."""
        if self._loop and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._tell, revision)

    @property
    def viewers(self) -> int:
        """How many pages listen."""
        return sum(map(len, self._streams.values()))

    async def stream(self, seat: str, first: str) -> AsyncIterator[str]:
        """Server-sent events for one page: the present revision, then each new one."""
        mine: asyncio.Queue = asyncio.Queue(maxsize=KEPT)
        open_ones = self._streams.setdefault(seat, [])
        open_ones.append(mine)
        if len(open_ones) > STREAMS_OF_A_SEAT:
            _put(open_ones[0], SLEEP)
        try:
            yield _event("change", first)
            while True:
                try:
                    news = await asyncio.wait_for(mine.get(), BEAT_S)
                except TimeoutError:
                    yield ": still here\n\n"
                    continue
                if news is None:
                    return
                if news == SLEEP:
                    yield _event(SLEEP, "another page of this browser took over")
                    return
                yield _event("change", news)
        finally:
            open_ones.remove(mine)
            if not open_ones:
                self._streams.pop(seat, None)

    def _tell(self, revision: str) -> None:
        for queues in self._streams.values():
            for waiting in queues:
                _put(waiting, revision)


def _put(waiting: asyncio.Queue, news: str | None) -> None:
    if waiting.full():
        waiting.get_nowait()
    waiting.put_nowait(news)


def _event(name: str, data: str) -> str:
    return f"event: {name}\ndata: {data}\n\n"
