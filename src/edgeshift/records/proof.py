"""What was found when an envelope was proved: a chain of links, each of which holds or breaks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LINKS = ("archive", "files", "book", "answers", "curves", "figures", "documents", "description")
"""In order: a link rests on those before it."""
State = Literal["holds", "to-the-digits", "breaks", "not-reached"]


@dataclass(frozen=True)
class Difference:
    """One thing that is not as it was packed: its file, where in it, what stood there, what is found."""

    file: str
    where: str
    packed: str
    found: str


@dataclass(frozen=True)
class Link:
    """One link. `checked` counts what was compared; `to-the-digits` is equal as printed, not bit by bit."""

    code: str
    state: State
    checked: int = 0
    differences: tuple[Difference, ...] = ()


@dataclass(frozen=True)
class Proof:
    """The whole chain of one envelope, packed by `version` and computed once more by the version `here`."""

    envelope: str
    version: str
    here: str
    links: tuple[Link, ...]

    @property
    def holds(self) -> bool:
        """Whether no link breaks and all were reached."""
        return all(link.state in ("holds", "to-the-digits") for link in self.links)

    @property
    def broken(self) -> Link | None:
        """Where the chain breaks first."""
        return next((link for link in self.links if link.state == "breaks"), None)
