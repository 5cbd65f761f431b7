"""Numbers as people should read them: no more digits than the give-or-take earns."""

from __future__ import annotations

import math

GIVE_OR_TAKE = 2.0
"""Standard deviations in a give-or-take: the value would land inside again about 19 times in 20."""
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")

TINY = 1e-4
"""Below this a number is written with a power of ten: currents are counted in zeros otherwise."""
MOST_DIGITS = 5
"""After the point of a number with a power of ten: no instrument earns more."""


def count(number: int) -> str:
    """Small counts as words."""
    return COUNTS[number] if 0 <= number < len(COUNTS) else str(number)


def plain(value: float) -> str:
    """Six figures without a power of ten, as 1555000; only tiny and huge numbers keep one."""
    if value == 0 or 1e-4 <= abs(value) < 1e15:
        figures = max(0, 5 - math.floor(math.log10(abs(value)))) if value else 0
        text = f"{value:.{figures}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    return f"{value:.6g}"


def earned(value: float, give_or_take: float | None) -> str:
    """The value with two digits of its give-or-take; three figures where there is none."""
    if not math.isfinite(value):
        return "unknown"
    if give_or_take is None or not math.isfinite(give_or_take) or give_or_take <= 0:
        return f"{value:.3g}" if abs(value) < 1000 else f"{value:.1f}"
    places = max(0, 1 - math.floor(math.log10(give_or_take)))
    if max(abs(value), give_or_take) < TINY:
        digits = places + math.floor(math.log10(abs(value))) if value else 0
        return f"{value:.{min(max(0, digits), MOST_DIGITS)}e}"
    # Adding zero takes the sign from a number that rounds to nothing.
    return f"{round(value, places) + 0.0:.{places}f}"


def with_give_or_take(value: float, give_or_take: float | None, unit: str | None) -> str:
    """As "0.63, give or take 0.10 steps"."""
    if give_or_take is not None or not math.isfinite(value):
        text = earned(value, give_or_take)
    elif unit == "eV":
        text = f"{value:.1f}"
    else:
        text = f"{float(f'{value:.3g}'):.0f}" if abs(value) >= 1000 else earned(value, None)
    if give_or_take is not None and math.isfinite(give_or_take):
        text += f", give or take {earned(give_or_take, give_or_take)}"
    return f"{text} {unit}" if unit else text
