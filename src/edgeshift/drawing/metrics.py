"""How wide words will be, so that labels can be placed without a browser.

The tables hold advance widths in thousandths of the type size for the characters from space to
tilde, read once from the fonts we ship (`tests/drawing/test_metrics.py` reads them again).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from functools import lru_cache
from typing import Literal, TypeVar

Voice = Literal["regular", "bold", "italic"]
Lines = TypeVar("Lines")

ASCENT, DESCENT = 0.74, 0.22
"""How far ink reaches above and below the baseline, in type sizes (capitals and tails)."""

# fmt: off
_REGULAR = (  # Atkinson Hyperlegible 400
    280, 281, 301, 655, 594, 927, 705, 160, 300, 300, 433, 602, 205, 368, 205, 377, 648, 402, 549, 574,
    614, 583, 598, 510, 615, 598, 205, 205, 553, 602, 553, 520, 780, 626, 619, 656, 673, 567, 548, 710,
    690, 414, 510, 627, 539, 820, 689, 727, 601, 753, 618, 596, 558, 690, 589, 840, 623, 595, 607, 315,
    377, 315, 552, 396, 268, 526, 566, 500, 564, 539, 311, 560, 546, 278, 254, 490, 239, 841, 546, 552,
    566, 576, 340, 471, 324, 536, 441, 654, 461, 429, 460, 319, 233, 319, 555,
)
_BOLD = (  # Atkinson Hyperlegible 700
    320, 283, 410, 783, 619, 977, 702, 222, 366, 366, 434, 618, 243, 374, 243, 442, 652, 448, 586, 605,
    626, 612, 632, 543, 625, 561, 243, 243, 573, 618, 573, 614, 754, 690, 639, 673, 686, 580, 544, 719,
    679, 458, 560, 659, 537, 842, 700, 764, 626, 781, 654, 619, 617, 663, 656, 883, 699, 687, 621, 333,
    442, 333, 589, 430, 314, 553, 596, 520, 596, 566, 367, 597, 572, 315, 259, 567, 314, 886, 572, 573,
    596, 601, 372, 534, 379, 570, 526, 723, 533, 518, 516, 370, 234, 370, 533,
)
_ITALIC = (  # Literata Italic, default instance
    190, 337, 403, 679, 497, 827, 730, 251, 328, 329, 475, 582, 331, 353, 320, 444, 572, 381, 516, 525,
    554, 522, 538, 518, 533, 530, 319, 335, 582, 582, 582, 511, 861, 691, 616, 619, 736, 593, 561, 642,
    760, 359, 367, 688, 584, 932, 747, 715, 590, 703, 679, 497, 621, 748, 690, 1001, 687, 670, 614, 319,
    412, 322, 582, 498, 498, 571, 566, 486, 573, 477, 382, 551, 587, 298, 296, 549, 282, 876, 596, 539,
    576, 541, 464, 441, 402, 593, 533, 786, 531, 538, 477, 363, 408, 364, 583,
)
# fmt: on
_TABLES = {"regular": _REGULAR, "bold": _BOLD, "italic": _ITALIC}
_OTHERS = {"–": 501, "—": 1001, "‘": 277, "’": 277, "“": 498, "”": 498, "…": 958, "·": 319}
_OTHERS |= {"−": 602, "÷": 602, "×": 577, "±": 618, "≤": 594, "≥": 594, "≈": 582, "°": 404, "µ": 591}
_OTHERS |= {"ß": 640, "æ": 883, "Æ": 1016, "ø": 573, "Ø": 763, "\u00a0": 320}
_BREAKS = re.compile("[ \t\r\n]+")
_WIDE, _UNKNOWN = 1250, 720
"""Emoji and East Asian characters come from a font we do not know: room is left on purpose."""


@lru_cache(maxsize=4096)
def _advance(character: str, voice: Voice) -> int:
    """Thousandths of the type size for one character; accents are as wide as their letter."""
    base = unicodedata.normalize("NFD", character)[0]
    place = ord(base) - 0x20
    if 0 <= place < len(_REGULAR):
        return _TABLES[voice][place]
    if base in _OTHERS:
        return _OTHERS[base]
    if unicodedata.combining(base) or unicodedata.category(base) in ("Cf", "Cc", "Mn"):
        return 0
    return _WIDE if unicodedata.east_asian_width(base) in "WF" or ord(base) > 0xFFFF else _UNKNOWN


def text_width(text: str, size: float, voice: Voice = "regular") -> float:
    """Width of `text` in pixels at type size `size` (pixels)."""
    return sum(_advance(character, voice) for character in text) * size / 1000


def wrap(text: str, size: float, width: float, voice: Voice = "regular") -> list[str]:
    """`text` in lines no wider than `width` pixels; a single word may stand out where it must.

    A no-break space holds: a number stays with its power of ten.
    """
    lines: list[str] = []
    for word in _BREAKS.split(text.strip()) if text.strip() else ():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size, voice) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def evenly(break_at: Callable[[float], list[Lines]], width: float) -> list[Lines]:
    """As few lines as `width` allows, then as even as they can be: no word stands alone.

    `break_at` breaks the same words at any width.
    """
    best = break_at(width)
    for share in (0.92, 0.84, 0.76, 0.68, 0.6, 0.52):
        narrower = break_at(width * share)
        if len(narrower) > len(best):
            break
        best = narrower
    return best


def shorten(text: str, size: float, width: float, voice: Voice = "regular") -> str:
    """`text`, cut with an ellipsis where it is wider than `width` pixels."""
    if text_width(text, size, voice) <= width:
        return text
    kept = text
    while kept and text_width(f"{kept}…", size, voice) > width:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def pinch(text: str, size: float, width: float) -> str:
    """`text`, its middle left out where it is wider than `width`: names often differ at their ends."""
    if text_width(text, size) <= width:
        return text
    tail = min(3, len(text) // 2)
    head = len(text) - tail
    while head > 0 and text_width(f"{text[:head].rstrip()}…{text[-tail:].lstrip()}", size) > width:
        head -= 1
    return f"{text[:head].rstrip()}…{text[-tail:].lstrip()}" if head else ""


def fit_lines(text: str, size: float, width: float, most: int, voice: Voice = "regular") -> list[str]:
    """At most `most` lines no wider than `width`; what does not fit ends in an ellipsis."""
    lines = wrap(text, size, width, voice)
    if len(lines) > most:
        lines = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    return [shorten(line, size, width, voice) for line in lines]
