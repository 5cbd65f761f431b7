"""One line of the book: something that happened, who in which role, when, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

KINDS = (
    "experiment",  # the accepted experiment text, whole: payload {"text"}
    "arrival",  # a raw file: payload {"file", "sha256", "bytes", "entry", "profile", "scan", "given"}
    "duplicate",  # the same bytes under another name: payload {"file", "sha256", "first"}
    "judge",  # payload {"scan", "verdict": keep | keep-with-a-note | set-aside | undo}
    "declare",  # payload {"edge", "feature", "matters"}
    "place",  # payload {"scan", "specimen", "spot"}
    "tie",  # payload {"scans": [...] | "edge", "shift_ev", "sigma_ev", "source"}
    "look",  # units were judged: payload {"question", "edge", "control", "treated", "units", "planned",
    # "level", "arrivals"}
    "standard",  # lent by the shelf: payload {"name", "edge", "file", "sha256", "shift_ev", "sigma_ev",
    # "source"}
    "write",  # a free note: payload {"text"}
    "pressure",  # readings of a gauge: payload {"load", "file", "zero", "began", "minutes", "mbar"}
    "isolate",  # a rise with the pump shut off: payload {"load", "at_min", "seconds", "mbar"}
    "position",  # a scan across a specimen: payload {"specimen", "mm", "signal", "at_mm", "phosphor_mm"}
    "show",  # what the Stage shows: payload {"now": {"question", "edge", "compare"}, "next": [...]}
    "curtain",  # payload {"drawn": true, "lot": [arms], "seed"} or {"drawn": false}
    "round",  # payload {"round", "sort": guess | vote, "state": open | closed}; the first opening has also
    # {"edge", "specimen", "about", "cards" in the order of the lot, "seed"}, a closing {"met": scan or null}
    "guess",  # a sketch: payload {"round", "points": [[energy_ev, height], ...], "by": seat}
    "vote",  # payload {"round", "card", "by": seat}
    "claim",  # payload {"claim", "evidence", "reason", "unless", "level", "edge", "feature", "arms",
    # "higher", "by", "instead_of": line}, or {"take_back": line}
    "decide",  # payload {"round", "card", "minutes"}, or {"undo": line}
    "accept",  # payload {"worry"[, "undo": true]}
    "words",  # what stands in a slot of what goes home: payload {"slot", "text"}, or {"undo": line}
    "shy",  # a question to the host that nobody has to put a voice to: payload {"text"}, or {"heard": line}
)
ROLES = ("host", "mentor", "teacher", "student", "tool")
PEOPLE = ROLES[:-1]
"""The roles that can decide something. There are no names, only roles."""

VERDICTS_OF_A_PERSON = ("keep", "keep-with-a-note", "set-aside")


@dataclass(frozen=True)
class Event:
    """What happened. `time` is ISO 8601 in UTC; `role` is host, mentor, teacher, student or tool.

    `number` counts from 1 in the order of the book; 0 means that it is not in the book yet.
    """

    number: int
    time: str
    kind: str
    role: str
    reason: str
    payload: Mapping[str, Any] = field(default_factory=dict)
