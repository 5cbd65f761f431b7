"""A thing made once for each key, in a memory that somebody else may keep."""

from __future__ import annotations

from collections.abc import Callable
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
