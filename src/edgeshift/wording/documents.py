"""Words that documents set around answers: heads without a number, and the facts of what was scanned."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from edgeshift.records.room import SLOTS
from edgeshift.wording.screen import ENGLISH

MEASURED_HEADS = ("edge", "from, to", "scans", "kept", "spots", "time on a point", "when")


def range_ev(low: float, high: float) -> str:
    """From where to where an edge was scanned."""
    return f"{low:.0f} to {high:.0f} eV"


def dwell_s(shortest: float, longest: float) -> str:
    """The time on each point; one number where all are alike to three figures."""
    if f"{shortest:.3g}" == f"{longest:.3g}":
        return f"{shortest:.3g} s"
    return f"{shortest:.3g} to {longest:.3g} s"


def scanned(ev: tuple[float, float], dwell: tuple[float, float], scans: int, lit_s: Sequence[float]) -> str:
    """How an edge was scanned; `lit_s` are the seconds that the beam lay on each spot."""
    lit = dwell_s(min(lit_s), max(lit_s))
    spots = f"{scans} scans lay on {len(lit_s)} spots, the beam on each for {lit} in all"
    return f"Scanned from {range_ev(*ev)}, {dwell_s(*dwell)} on a point; {spots}."


EVERYWHERE = "Everywhere"
FIXED_SEEDS = (
    "Whatever was drawn by chance began from a fixed seed: the same raw bytes give the same digits. "
    "No dose is given where no file states how much light there was."
)


def lot(kind: str, seed: int) -> str:
    """A lot that was drawn in the room, so that anybody can draw it again."""
    return f"The lot of the {kind} was drawn from seed {seed}."


def between(moments: Sequence[str]) -> str:
    """The clock times of the first and the last of these ISO 8601 moments; their days where they differ."""
    if not moments:
        return "not said"
    first, last = (datetime.fromisoformat(each) for each in (min(moments), max(moments)))
    if first.date() != last.date():
        return f"{first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}"
    return f"{first:%H:%M} to {last:%H:%M}"


NO_JARGON = "None of your {words} words is the trade's."


def jargon_lines(words: int, trade: int, per_100: float, meanings: Sequence[tuple[str, str]]) -> list[str]:
    """How many of the group's words are the trade's, and what each would have to be told with."""
    if not trade:
        return [NO_JARGON.format(words=words)] if words else []
    first = f"{trade} of your {words} words are the trade's, {per_100:.0f} in a hundred. Would a reader know:"
    return [first, *(f"{word}: {meaning}" for word, meaning in meanings)]


def arm_line(words: str, units: Sequence[str], control: bool) -> str:
    """An arm with its units by name."""
    role = "the control" if control else "treated"
    return f"{words} ({role}): {', '.join(units) or 'no unit'}"


def made_by(version: str, line: int) -> str:
    """What made the document, and up to which line of the book."""
    return f"edgeshift {version}, the book up to line {line}"


HEADS = {
    "report": "Report of one shift",
    "by-the-group": "written by the group",
    "page": "page",
    "day": "The day line",
    "in-short": "In short",
    "numbers": "The numbers of this picture",
    "minded-here": "To be minded:",
    "minded-poster": "To be minded",
    "design": "What was compared",
    "measured": "What was measured",
    "answers": "What the questions answered",
    "would-change-it": "Would change it:",
    "shelf": "Set aside, never deleted",
    "shelf-empty": "Nothing was set aside.",
    "result": "difference",
    "with-them": "with them",
    "without": "without",
    "claims": "What the group says",
    "evidence": "evidence:",
    "reason": "because:",
    "unless": "it holds unless:",
    "story": "How the day went",
    "methods": "How the numbers were made",
    "sources": "Whose tables stand behind them",
    "cautions": "To be minded everywhere",
    **{slot: ENGLISH(f"slot.{slot}") for slot in SLOTS},
}
"""Every word that documents print by themselves."""


def level_line(level: str) -> str:
    """The claim level that was asked."""
    return f"claim level {level} asked"
