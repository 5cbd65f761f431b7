"""The story of a shift: what was done, decided and found, in order, as it was known at one moment."""

from __future__ import annotations

from dataclasses import dataclass

KINDS = ("claim", "decision", "vote", "aside", "trip", "sketches", "scans", "pump", "look", "note")
"""What a moment may be; where room is scarce the first are told before the last."""


@dataclass(frozen=True)
class StoryMoment:
    """One thing that happened. `time` is ISO 8601 by the clock of the day; `known` is when the book came to
    know of it, to which a page may be rewound.

    `words` are ours and hold name tokens, `own` are people's own. `lines` are the book's lines it rests on.
    """

    kind: str
    time: str
    words: str
    own: str = ""
    role: str = ""
    known: str = ""
    lines: tuple[int, ...] = ()


@dataclass(frozen=True)
class OneLine:
    """What one question answered, in one sentence. `identity` is that of the answer."""

    question: str
    edge: str | None
    verdict: str
    sentence: str
    identity: str = ""


@dataclass(frozen=True)
class Story:
    """The question of the shift, its moments in order, and what the answers say at the end of them.

    `until` is the moment it was rewound to (None: everything). `left_out` counts moments and answers
    that a short telling has no room for.
    """

    question: str
    moments: tuple[StoryMoment, ...] = ()
    answers: tuple[OneLine, ...] = ()
    until: str | None = None
    left_out: int = 0
