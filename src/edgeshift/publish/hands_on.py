"""What an exhibit adds to the material: a sheet to guess on, changes that were tried, the day rewound.

Everything here was answered before, by the same questions: a page picks among it and reckons nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from edgeshift.publish.material import Picture, Said, Told, every_said
from edgeshift.records.figure import StepState


@dataclass(frozen=True)
class Guess:
    """One edge to guess at: the sheet with the control alone, and the same sheet with what was measured."""

    edge: str
    unit: str
    sheet: Picture
    shown: Picture
    told: Said


@dataclass(frozen=True)
class Tried:
    """One change that is supposed, in words, and what "is the difference real?" answers then."""

    kind: Literal["as-it-is", "energy", "without"]
    said: Said
    told: Told


@dataclass(frozen=True)
class Slid:
    """All changes that were tried at one edge, for one treated arm: along the energy from the lowest, nothing
    changed in its place among them, then what was left out."""

    title: Said
    tried: tuple[Tried, ...]


@dataclass(frozen=True)
class Station:
    """One of the six questions at a moment: its state, and its answer in a breath."""

    question: str
    state: StepState
    said: Said


@dataclass(frozen=True)
class Rewound:
    """One moment of the day: when, what happened, the six answers of then, and the day line of then, wide and
    for a phone."""

    at: str
    said: Said
    own: Said | None
    six: tuple[Station, ...]
    day: Picture
    narrow: Picture


@dataclass(frozen=True)
class HandsOn:
    """All of it. `narrow` are the pictures of the material drawn for a phone, by name."""

    narrow: Mapping[str, Picture] = field(default_factory=dict)
    guess: Guess | None = None
    slid: tuple[Slid, ...] = ()
    rewound: tuple[Rewound, ...] = ()

    def said(self) -> Iterator[Said]:
        """Every text in it, in order."""
        yield from every_said(self)
