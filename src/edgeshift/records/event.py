"""One line of the book: something that happened, who in which role, when, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

KINDS = (
    "experiment",  # the accepted experiment text, whole: payload {"text"}
    "arrival",     # a raw file: payload {"file", "sha256", "bytes", "entry", "profile"}
    "duplicate",   # the same bytes again: payload {"file", "sha256", "first"}
    "judge",       # payload {"scan", "verdict": keep | keep-with-a-note | set-aside | undo}
    "declare",     # payload {"edge", "feature", "matters"}
    "place",       # payload {"scan", "specimen", "spot"}
    "tie",         # payload {"scans": [...] | "edge", "shift_ev", "sigma_ev", "source"}
    "look",        # a verdict was shown: payload {"question", "edge", "units", "identity"}
    "write",       # a free note: payload {"text"}
)


@dataclass(frozen=True)
class Event:
    """What happened. `time` is ISO 8601 in UTC; `role` is host, mentor, teacher, student or tool."""

    number: int
    time: str
    kind: str
    role: str
    reason: str
    payload: Mapping[str, Any] = field(default_factory=dict)
