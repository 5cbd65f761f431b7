"""A scan: one pass over an edge at one spot, every raw channel, nothing divided yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True)
class Place:
    """Where a scan was measured. Any part may be unknown (None); nothing is guessed."""

    specimen: str | None = None
    spot: str | None = None
    unit: str | None = None
    arm: str | None = None


@dataclass(frozen=True)
class Tie:
    """An energy shift that a person decided to apply, with its uncertainty and its source."""

    shift_ev: float
    sigma_ev: float
    source: str


@dataclass(frozen=True)
class Channel:
    """One detector as it was read out.

    `raw` has shape (elements, points). `unit` is one of counts, counts/s, V, A, none (a ready-made
    absorption, no raw counts). A true signal is `sign * (raw - offset) * gain`; for counters offset
    is a dark level in the same unit. `dead_time_s` (non-paralysable, seconds) and `dead_fraction`
    (elements, points; 0..1, as the detector reported it) describe a loss still to be undone;
    `corrected` says that the file already undid it. Never both.
    """

    role: str
    raw: np.ndarray
    unit: str
    columns: tuple[str, ...]
    offset: float = 0.0
    gain: float = 1.0
    sign: int = 1
    dead_time_s: float = 0.0
    dead_fraction: np.ndarray | None = None
    corrected: bool = False
    ceiling: float | None = None

    @property
    def counts(self) -> bool:
        """Whether counting statistics apply: only to counters."""
        return self.unit in ("counts", "counts/s")


@dataclass(frozen=True)
class Scan:
    """One scan with its channels, in the order of time.

    `energy_ev` are the actual energies as read back (points,); `dwell_s` the time on each point
    (points,), 1.0 where nobody said; `direction` is up, down or mixed. `signal` names the channel
    that answers questions; roles are i0, electron-yield, fluorescence, transmitted, reference,
    absorption (a ready-made ratio). `started` and `ended` are ISO 8601 texts or None;
    `injections_s` are seconds after the start at which fresh electrons were added, where known;
    `clock_s` (points,) seconds after the start for each point, or None. `tie` is the energy tie that a
    person declared for it; without one the axis stays as the beamline gave it. `regions` are the keys of
    the files it was joined from, where an instrument wrote it in several.
    """

    key: str
    file: str
    sha256: str
    edge: str | None
    energy_ev: np.ndarray
    dwell_s: np.ndarray
    channels: Mapping[str, Channel]
    signal: str
    direction: str = "up"
    place: Place = field(default_factory=Place)
    started: str | None = None
    ended: str | None = None
    clock_s: np.ndarray | None = None
    injections_s: tuple[float, ...] = ()
    doubts: tuple[str, ...] = ()
    tie: Tie | None = None
    regions: tuple[str, ...] = ()
