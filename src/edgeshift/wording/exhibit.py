"""Words that the exhibit page and the slides print by themselves: not one of them holds a number of ours."""

from __future__ import annotations

from edgeshift.wording.documents import HEADS

TEXTS = {
    "page": "What we asked, and what we measured",
    "guess": "Guess first",
    "guess-how": (
        "One curve was measured already. Draw over it, with a finger, a mouse or the arrow keys, where you "
        "expect the other one. Your line stays on this page and goes nowhere."
    ),
    "guess-area": "Drawing area for your guess",
    "guess-keys": "Arrow keys draw, with Shift in longer steps; Delete wipes.",
    "guess-show": "Show what was measured",
    "guess-wipe": "Wipe my line",
    "guess-skip": "Go on without a guess",
    "guess-yours": "Your line is the pencil one. Nobody marks it.",
    "answers": "What was found",
    "why": "Why",
    "numbers": "The numbers of the picture",
    "slide": "Slide it yourself",
    "slide-how": (
        "Slide one curve along the energy, or leave units out. Each time the same question was asked again "
        "of the same scans; this page only shows what was answered then."
    ),
    "slide-edge": "At which edge",
    "slide-energy": "Slide along the energy",
    "slide-without": "Leave out",
    "slide-table": "All of it as a table",
    "slide-what": "what is supposed",
    "slide-verdict": "the answer then",
    "day-how": "Rewind to any of these moments: six questions, as they were answered then.",
    "day-pick": "Moment of the day",
    "day-back": "Earlier",
    "day-on": "Later",
    "words": "Words",
    "close": "Close",
    "dark": "Dark or light",
    "skip": "To what was found",
    "cautions": "To be minded",
    "empty": "Nobody has written this yet.",
    "as-measured": "as it was measured",
    "alone": "This page asks no network and sends nothing.",
    "facts": "Facts and cautions for whoever speaks",
}
"""What stands on a page beside answers and people's words."""
WORDS = {**HEADS, **TEXTS}


def slid(arm: str, ev: float) -> str:
    """What is supposed: a whole arm moved along the energy."""
    return f"{arm} {abs(ev):.2f} eV {'higher' if ev > 0 else 'lower'}"


def left_out(units: list[str]) -> str:
    """What is supposed: these units were never measured."""
    return f"without {' and '.join(units)}"


def scanned(edge: str) -> str:
    """A file came in."""
    return f"A scan landed: {edge}"


def both(control: str, treated: str) -> str:
    """What is drawn once the guess is made."""
    return f"{control} and {treated}, each in its band"
