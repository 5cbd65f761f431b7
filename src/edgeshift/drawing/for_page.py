"""Drawings of the light room for a page that carries hundreds of them: small, and coloured by the page.

Colours become custom properties, so one drawing serves both rooms; curves are written as steps from point to
point; numbers for pointing are left out. `page_colours` is the style sheet that goes with them.
"""

from __future__ import annotations

import re
from dataclasses import fields
from itertools import combinations_with_replacement

from edgeshift.drawing.tokens import DARK, LIGHT, blend

_TINTS = ("control_fill", "treated_fill", "neutral_fill")
"""Tints of bands that may lie on one another."""
_COLOUR = re.compile(r'"(#[0-9A-F]{6})"')
_POINTING = re.compile(r' data-(?:x|y|name)="[^"]*"')
_PATH = re.compile(r' d="([^"]*)"')
_STEP = re.compile(r"([MLHVZ])((?:\s*,?\s*-?[\d.]+)*)")
_OWN_ID = re.compile(r"\be[0-9a-f]{8}-")
_PATTERN = re.compile(r'<pattern id="([^"]+)".*?</pattern>', re.DOTALL)
TENTHS = 10
"""Drawings hold tenths of a pixel."""


def _colours() -> dict[str, tuple[str, str]]:
    """Every colour of the light room -> the property that stands for it, and its dark value."""
    names = [each.name for each in fields(LIGHT) if each.name not in ("dark", "on_straw")]
    found = {getattr(LIGHT, name): (name.replace("_", "-"), getattr(DARK, name)) for name in names}
    for one, two in combinations_with_replacement(_TINTS, 2):
        light = blend(getattr(LIGHT, one), getattr(LIGHT, two), dark=False)
        dark = blend(getattr(DARK, one), getattr(DARK, two), dark=True)
        found.setdefault(light, (f"{one}-{two}".replace("_", "-"), dark))
    return found


COLOURS = _colours()


def page_colours() -> str:
    """Both rooms as custom properties: by `data-room` of the root, else as the reader's device prefers."""
    light = "".join(f"--{name}:{colour};" for colour, (name, _) in COLOURS.items())
    dark = "".join(f"--{name}:{colour};" for name, colour in COLOURS.values())
    both = f"--on-straw:{LIGHT.on_straw};"
    return (
        f":root{{color-scheme:light;{light}{both}}}\n"
        f"@media (prefers-color-scheme:dark){{:root:not([data-room=light]){{color-scheme:dark;{dark}}}}}\n"
        f":root[data-room=dark]{{color-scheme:dark;{dark}}}\n"
    )


def for_page(svg: str, place: int, pointing: bool = False) -> str:
    """`svg`, the drawing number `place` of its page; `pointing` keeps the numbers of its lines."""
    own = _OWN_ID.sub(f"p{place}-", svg if pointing else _POINTING.sub("", svg))
    used = _PATTERN.sub(lambda found: found[0] if f"#{found[1]})" in own else "", own)
    coloured = _COLOUR.sub(lambda found: f'"{_property(found[1])}"', used)
    return _PATH.sub(lambda found: f' d="{steps(found[1])}"', coloured)


def _property(colour: str) -> str:
    return f"var(--{COLOURS[colour][0]})" if colour in COLOURS else colour


def steps(path: str) -> str:
    """A path of straight lines with every point as a step from the one before, in tenths of a pixel.

    A path with anything else in it is left as it is.
    """
    if re.search(r"[^MLHVZ\d.,\s-]", path):
        return path
    said: list[str] = []
    at = start = (0, 0)
    for letter, rest in _STEP.findall(path):
        numbers = [round(float(each) * TENTHS) for each in re.findall(r"-?[\d.]+", rest)]
        if letter == "Z":
            said.append("z")
            at = start
        elif letter in "HV":
            for value in numbers:
                to = (value, at[1]) if letter == "H" else (at[0], value)
                said.append(f"l{_pair(at, to)}")
                at = to
        else:
            for nth, to in enumerate(zip(numbers[::2], numbers[1::2], strict=True)):
                moves = letter == "M" and nth == 0
                said.append(f"{'m' if moves else 'l'}{_pair(at, to)}")
                at, start = to, to if moves else start
    return "".join(said)


def _pair(at: tuple[int, int], to: tuple[int, int]) -> str:
    across, down = _tenths(to[0] - at[0]), _tenths(to[1] - at[1])
    return f"{across}{down}" if down.startswith("-") else f"{across} {down}"


def _tenths(value: int) -> str:
    """A tenth of the number, without a nought before its point."""
    whole, rest = divmod(abs(value), TENTHS)
    digits = (str(whole) if whole or not rest else "") + (f".{rest}" if rest else "")
    return f"-{digits}" if value < 0 else digits
