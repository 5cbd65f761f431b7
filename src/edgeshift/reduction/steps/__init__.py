"""The steps of the reduction, one file each, found by entry point and put in order by what they follow.

A step is a module with `NAME`, `AFTER` (the step it follows, None for the first), `run(passes, recipe)` that
returns new passes, and `sentence(passes, recipe)`, its part of the methods paragraph.
"""

from __future__ import annotations

from functools import cache
from importlib.metadata import entry_points
from types import ModuleType

GROUP = "edgeshift.steps"


@cache
def ordered() -> tuple[ModuleType, ...]:
    """Every installed step in running order; several that follow the same step run by name.

    Raises ValueError for a step that follows none of the others.
    """
    left = {step.NAME: step for step in (point.load() for point in entry_points(group=GROUP))}
    order: list[ModuleType] = []
    while left:
        done = {None, *(step.NAME for step in order)}
        ready = sorted(name for name, step in left.items() if step.AFTER in done)
        if not ready:
            raise ValueError(f"these steps follow no step that is installed: {sorted(left)}")
        order += [left.pop(name) for name in ready]
    return tuple(order)


def between(first: str | None, last: str | None) -> tuple[ModuleType, ...]:
    """The steps after `first` (None: from the start) up to and with `last` (None: to the end)."""
    names = [step.NAME for step in ordered()]
    start = 0 if first is None else names.index(first) + 1
    end = len(names) if last is None else names.index(last) + 1
    return ordered()[start:end]
