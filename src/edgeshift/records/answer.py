"""The one shape that every question returns, whoever asks and wherever it is shown."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

QUESTIONS = ("begin", "here", "trust", "real", "minutes", "say")
VERDICTS = {
    "begin": ("not-yet", "below-your-limit", "stalled", "cannot-tell"),
    "here": ("answered", "partly", "cannot-tell"),
    "trust": ("all-kept", "some-set-aside", "cannot-tell"),
    "real": ("units", "spots", "scans", "not-shown", "no-change", "cannot-tell"),
    "minutes": ("cards", "cannot-tell"),
    "say": ("carried", "not-carried", "cannot-tell"),
    "design": ("holds", "mend", "cannot-show", "cannot-tell"),
}
"""Of the six questions, and of a design before there is a shift."""
_FACT = re.compile(r"\*\*(.+?)\*\*")
RungState = Literal["lit", "not-shown", "cannot-test"]


class Ref(NamedTuple):
    """A typed pointer to what a fact rests on: arm, unit, specimen, spot, scan or edge, by key."""

    kind: str
    key: str

    def token(self) -> str:
        """The placeholder that the naming map turns into a name last: `{arm:fired}`."""
        return f"{{{self.kind}:{self.key}}}"


@dataclass(frozen=True)
class Fact:
    """One reason: a closed code, what it is about, and its number with uncertainty and unit."""

    code: str
    what: str
    value: float | None = None
    uncertainty: float | None = None
    unit: str | None = None
    evidence: tuple[Ref, ...] = ()


@dataclass(frozen=True)
class Answer:
    """A verdict from a closed list, one plain sentence, and everything it rests on.

    Sentences and facts hold name tokens (`{arm:fired}`), never finished names, so that a curtain or
    another language can be drawn over any answer. `detail` holds the numbers of the figure too.
    A sentence may be given with its one fact in `**...**`: `sentence` is then plain, `fact` holds the
    stretch and `marked` is the sentence as a picture shows it. `figure` is attached by an action. Neither
    takes part in equality or JSON.
    """

    question: str
    verdict: str
    sentence: str
    edge: str | None = None
    because: tuple[Fact, ...] = ()
    would_change_it: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    detail: Mapping[str, Any] = field(default_factory=dict)
    identity: str = ""
    figure: Any = field(default=None, compare=False, repr=False)
    fact: str = field(default="", compare=False, repr=False)

    def __post_init__(self) -> None:
        found = _FACT.search(self.sentence)
        if found:
            object.__setattr__(self, "fact", found[1])
            object.__setattr__(self, "sentence", _FACT.sub(r"\1", self.sentence))
        if self.verdict not in VERDICTS[self.question]:
            raise ValueError(f"{self.verdict!r} is no verdict of the question {self.question!r}")

    @property
    def marked(self) -> str:
        """The sentence with its one fact in `**...**`, where it has one."""
        return self.sentence.replace(self.fact, f"**{self.fact}**", 1) if self.fact else self.sentence
