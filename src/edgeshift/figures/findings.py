"""What was found of several scans together, as notes beside a picture."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from edgeshift.records.figure import Note
from edgeshift.wording import figures as words

MOST_NOTES = 2
"""More findings than this are counted, not told: a picture holds few words."""


def notes_of(
    findings: Sequence[Mapping[str, Any]], told: Callable[[str, Sequence[str]], str]
) -> tuple[Note, ...]:
    """The first findings with their next acts; behind the last, how many there are besides.

    `told` says a sentence of these scans: beside a pair it need not name both.
    """
    shown, more = findings[:MOST_NOTES], len(findings) - MOST_NOTES
    acts = [each["next"] for each in shown]
    if more > 0:
        acts[-1] += f" {words.more_findings(more)}"
    said = (told(each["sentence"], each["scans"]) for each in shown)
    return tuple(Note(sentence, act) for sentence, act in zip(said, acts, strict=True))
