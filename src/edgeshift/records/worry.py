"""What may worry a host: one sentence, the number behind it, and what the minutes could do about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from edgeshift.records.answer import Fact
from edgeshift.records.room import Acceptance, View


@dataclass(frozen=True)
class Remedy:
    """What the beam could be asked to do about a worry, and the minutes that this takes."""

    words: str
    decision: str
    minutes: float


@dataclass(frozen=True)
class Worry:
    """One worry. Texts hold name tokens; `key` holds no name, so that it is the same behind a curtain.

    `fact` is the number that put it there, `look` where it can be looked at, `scan` the scan it is about.
    """

    key: str
    code: str
    sentence: str
    why: str
    fact: Fact
    look: View
    scan: str | None = None
    act: Remedy | None = None


class WorryList(NamedTuple):
    """The worries to be shown, how many more there are, and those that people accepted, with their reason."""

    open: tuple[Worry, ...]
    more: int
    accepted: tuple[tuple[Worry, Acceptance], ...]
