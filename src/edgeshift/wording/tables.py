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
VERDICTS = {"keep": "keep", "keep-with-a-note": "keep with a note", "set-aside": "set aside"}


def columns_of(name: str, banded: bool) -> tuple[str, ...]:
    """The columns of one curve: its value and, where it has a band, both ends of it."""
    return (name, f"{name}, low", f"{name}, high") if banded else (name,)


def part_of(title: str, shown: int, whole: int) -> str:
    """A title that says how much of the table is shown."""
    return f"{title}, {shown} of {whole} rows" if shown < whole else title
