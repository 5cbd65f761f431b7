"""A thing made once for each key, in a memory that somebody else may keep."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any


class Once:
    """Call with a key and a way to make the thing.

    Keys may hold the `id` of a record only where whoever keeps the memory keeps that record alive too; what
    is made is kept in the memory itself, so its own `id` is sound.
    """

    def __init__(self, memory: dict | None) -> None:
        self._memory = {} if memory is None else memory

    def __call__(self, key: tuple, make: Callable[[], Any]) -> Any:
        """What `make` gives, made only the first time."""
        if key not in self._memory:
            self._memory[key] = make()
        return self._memory[key]


class Recent:
    """The same for the last `most` things that were asked for; those asked for longest ago are forgotten.

    A key may hold the `id` of a record only where the thing itself keeps that record alive.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._things: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = threading.Lock()

    def __len__(self) -> int:
        return len(self._things)

    def __call__(self, key: Hashable, make: Callable[[], Any]) -> Any:
        """What `make` gives, made again only where it was forgotten."""
        with self._lock:
            if key in self._things:
                self._things.move_to_end(key)
                return self._things[key]
        made = make()
        with self._lock:
            made = self._things.setdefault(key, made)
            while len(self._things) > self._most:
                self._things.popitem(last=False)
        return made
