"""The colours, the type and the signs of the arms, light and dark, as the house has them.

No token is named after anything a spectrum could show. Colour is the fourth sign: position, marker,
dash and tone come first, so every picture reads in grey.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Literal

from edgeshift.records.figure import ARM_ROLES, Role

UPRIGHT = "'Atkinson Hyperlegible', Verdana, sans-serif"
"""The voice of the sheet: what the instrument says."""
ITALIC = "Literata, Georgia, serif"
"""The voice of people: what they ask, draw or claim."""


@dataclass(frozen=True)
class Theme:
    """Every colour of one sheet."""

    sheet: str
    glaze: str
    glaze2: str
    line: str
    ink2: str
    ink: str
    indigo: str
    ember: str
    straw: str
    plum: str
    pencil: str
    control_fill: str
    treated_fill: str
    neutral_fill: str
    fan_fill: str
    fan_core: str
    on_straw: str = "#14201F"
    dark: bool = False


LIGHT = Theme(
    sheet="#F8FAF7", glaze="#DCE7E1", glaze2="#BFD0C7", line="#72817C", ink2="#45534F", ink="#14201F",
    indigo="#173C7D", ember="#A94410", straw="#F4C430", plum="#6E2758", pencil="#6F7B78",
    control_fill="#C3D0E8", treated_fill="#F1CDB2", neutral_fill="#CBD9D2",
    fan_fill="#D3E0DA", fan_core="#B2C6BC",
)  # fmt: skip
DARK = Theme(
    sheet="#10191A", glaze="#1C2829", glaze2="#34474A", line="#7D8E89", ink2="#B4C2BC", ink="#EEF3EE",
    indigo="#B7CDF9", ember="#E8803F", straw="#F4C430", plum="#DDA3CF", pencil="#93A29D",
    control_fill="#33486E", treated_fill="#5E3A22", neutral_fill="#2E4044",
    fan_fill="#23363A", fan_core="#35525A", dark=True,
)  # fmt: skip
THEMES: Mapping[str, Theme] = {"light": LIGHT, "dark": DARK}


@dataclass(frozen=True)
class Look:
    """How one arm is told from another: tokens of its stroke and tint, dash, marker, texture.

    `series` is what a script calls it, `place` where it stands among the others in the drawing.
    """

    stroke: str
    tint: str
    dash: str | None
    marker: Literal["ring", "lozenge", "triangle", "square", "box"]
    texture: Literal["plain", "hatch", "dots", "cross"]
    series: str = ""
    place: int = 0


CONTROL = Look("indigo", "control_fill", None, "ring", "plain", "control")
TREATED = Look("ember", "treated_fill", "13 5", "lozenge", "hatch", "treated", 1)
THIRD = Look("ink2", "neutral_fill", "3 5", "triangle", "dots", "third", 2)
FOURTH = Look("line", "neutral_fill", "18 4 3 4", "square", "cross", "fourth", 3)
NEUTRAL = Look("ink", "neutral_fill", None, "ring", "plain")
Looks = Mapping[Role, Look]
OPEN: Looks = {
    "control": CONTROL, "treated": TREATED, "third": THIRD, "fourth": FOURTH, "neutral": NEUTRAL,
}  # fmt: skip
_BEHIND = (
    Look("ink", "neutral_fill", None, "box", "plain", "p"),
    Look("ink2", "neutral_fill", "13 5", "triangle", "hatch", "q", 1),
    Look("ink2", "neutral_fill", "3 5", "lozenge", "dots", "r", 2),
    Look("line", "neutral_fill", "18 4 3 4", "square", "cross", "s", 3),
)


def curtain_looks(lot: Sequence[int]) -> Looks:
    """Looks without hue for a drawn curtain; `lot[i]` is the place that arm number i drew.

    `lot` is a permutation of 0, 1, ...; arms beyond its length keep their order.
    """
    drawn = [*lot, *range(len(lot), len(ARM_ROLES))]
    return {"neutral": NEUTRAL} | {
        role: _BEHIND[place] for role, place in zip(ARM_ROLES, drawn, strict=False)
    }


def by_place(looks: Looks) -> Looks:
    """The same looks, dealt to the roles in their own order: for pictures whose roles are no arms."""
    ordered = sorted((looks[role] for role in ARM_ROLES), key=lambda look: look.place)
    return {"neutral": looks["neutral"]} | dict(zip(ARM_ROLES, ordered, strict=True))


def luminance(colour: str) -> float:
    """Relative luminance of `#RRGGBB`, 0 (black) to 1 (white): WCAG 2.2, "relative luminance"."""
    shares = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def blend(first: str, second: str, dark: bool) -> str:
    """Where two tints lie on one another: multiplied on a light sheet, screened on a dark one."""
    mixed = []
    for place in (1, 3, 5):
        one, two = int(first[place : place + 2], 16) / 255, int(second[place : place + 2], 16) / 255
        mixed.append(1 - (1 - one) * (1 - two) if dark else one * two)
    return "#" + "".join(f"{round(255 * share):02X}" for share in mixed)


def as_style_sheet() -> str:
    """The colours of both rooms as custom properties, for pages: `var(--ink)` and so on."""
    rules = []
    for name, theme in THEMES.items():
        colours = {f.name: getattr(theme, f.name) for f in fields(theme) if f.name != "dark"}
        inside = "".join(f"--{token.replace('_', '-')}:{colour};" for token, colour in colours.items())
        rules.append(f":root[data-room={name}]{{color-scheme:{name};{inside}}}\n")
    return "".join(rules)
