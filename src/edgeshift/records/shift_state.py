"""All that was known at one moment, replayed from the book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from edgeshift.records.event import Event


@dataclass(frozen=True)
class Arrival:
    """One raw file (one entry of it) as it came. `scan` is its key everywhere else."""

    scan: str
    file: str
    sha256: str
    time: str
    entry: str | None = None
    profile: Mapping[str, Any] | None = None
    copies: tuple[str, ...] = ()


@dataclass(frozen=True)
class Judgement:
    """What a person decided about a scan, and why."""

    scan: str
    verdict: str
    role: str
    reason: str
    time: str


@dataclass(frozen=True)
class Declaration:
    """A feature that a person named, and after how many arrivals at that moment."""

    edge: str
    feature: Mapping[str, Any]
    matters: float | None
    time: str
    number: int
    reason: str = ""


@dataclass(frozen=True)
class Tie:
    """An energy shift that a person decided to apply, with its source."""

    shift_ev: float
    sigma_ev: float
    source: str
    edge: str | None = None
    scans: tuple[str, ...] = ()
    time: str = ""


@dataclass(frozen=True)
class ShiftState:
    """The whole of it. `experiment_text` is the last accepted text; parse it with `formats`.

    `events` are those replayed, in order; every other field is derived from them alone.
    """

    events: tuple[Event, ...] = ()
    experiment_text: str = ""
    experiment_number: int = 0
    arrivals: Mapping[str, Arrival] = field(default_factory=dict)
    judgements: Mapping[str, Judgement] = field(default_factory=dict)
    declarations: tuple[Declaration, ...] = ()
    ties: tuple[Tie, ...] = ()
    places: Mapping[str, Mapping[str, str | None]] = field(default_factory=dict)
    looks: tuple[Event, ...] = ()
    notes: tuple[Event, ...] = ()
    until: str | None = None


def replay(events: Iterable[Event], until: str | None = None) -> ShiftState:
    """What was known at `until` (ISO 8601, inclusive; None: everything). Pure: same events, same state."""
    raise NotImplementedError
