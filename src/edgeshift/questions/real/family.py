"""The price of asking at several edges: Holm's step-down."""

from __future__ import annotations

from collections.abc import Mapping


def holm_levels(chances: Mapping[str, float], level: float) -> dict[str, float]:
    """The level at which each member is judged: level/m for the smallest chance, then level/(m-1), ...

    Once a member fails, all larger chances are judged at that member's level and fail too (Holm 1979,
    cited from memory).
    """
    levels: dict[str, float] = {}
    stopped: float | None = None
    left = len(chances)
    for name in sorted(chances, key=lambda n: (chances[n], n)):
        at = level / left if stopped is None else stopped
        levels[name] = at
        if stopped is None and not chances[name] <= at:
            stopped = at
        left -= 1
    return levels
