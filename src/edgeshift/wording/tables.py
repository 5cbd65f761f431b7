"""Heads and titles of the tables that hold a picture's numbers."""

from __future__ import annotations

ENERGY = "energy, eV"
CURVES = "curves"
FLAGS = ("energy, eV", "value", "doubt")
DOUBTED = "doubted points"
RUNGS = "rungs and their dots"
RUNG = ("rung", "state", "what", "value")
SHELF = "scans"
SCAN = ("edge", "scan", "verdict", "reason")
CAUSES = "causes"
CAUSE = ("cause", "share", "low", "high", "amount")
BOARD = "edges"
DAY = "the day"
MOMENT = ("from", "to", "what")
CURVE = "curve"
READINGS = "readings"
FORECAST = "what may come"
SPREAD = ("8 in 10, low", "half, low", "middle", "half, high", "8 in 10, high")
ENDS = ("from", "most likely", "to")
LIMIT = "the limit, and when"
WHAT_AND_VALUE = ("what", "value")
SHARES = "shares"
SHARE = ("reference", "middle", "low", "high", "half, low", "half, high", "formal, low", "formal, high")
ROW, FROM_TOP = "row", "from the top"
ELEMENTS = "elements"
ELEMENT = ("element", "state", "what")
PRESENCE = {"answered": "seen", "empty": "not seen", "cannot-tell": "cannot tell"}
OTHERS = "others"
LINEUP = "who else it could be"
SUSPECT = ("who", "state", "why")
EXCLUDED = {
    (True, False): "excluded",
    (False, False): "not yet excluded",
    (False, True): "here as well",
}
CARDS = "cards"
CARD = ("card", "minutes", "settles", "give-or-take", "cannot fix")
LEVELS = "claim levels"
LEVEL = ("level", "asks for", "state", "number", "next act")
NEED_STATES = {"answered": "met", "empty": "missing", "cannot-tell": "cannot tell", "not-yet": "not asked"}
STRESS, STRESSED = "stress", ("still true", "survived", "tried")
FACE_DOWN = "face down"
VERDICTS = {"keep": "keep", "keep-with-a-note": "keep with a note", "set-aside": "set aside"}


def columns_of(name: str, banded: bool) -> tuple[str, ...]:
    """The columns of one curve: its value and, where it has a band, both ends of it."""
    return (name, f"{name}, low", f"{name}, high") if banded else (name,)


def part_of(title: str, shown: int, whole: int) -> str:
    """A title that says how much of the table is shown."""
    return f"{title}, {shown} of {whole} rows" if shown < whole else title


def means_of(title: str, shown: tuple[int, int], whole: tuple[int, int]) -> str:
    """A title of a map that is shown as means."""
    return f"{title}, means in {shown[0]} by {shown[1]} of {whole[0]} by {whole[1]} cells"
