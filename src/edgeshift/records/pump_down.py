"""One load pumping down, as the book tells it: readings on one clock, and isolations."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from edgeshift.errors import NoteRefused
from edgeshift.records.event import Event
from edgeshift.records.shift_state import moment


@dataclass(frozen=True)
class Isolation:
    """A rise with the pump shut off: when (minutes of the load's clock), seconds since, and mbar."""

    at_min: float
    seconds: tuple[float, ...]
    mbar: tuple[float, ...]

    @staticmethod
    def check(readings: Sequence[tuple[float, float]]) -> None:
        """Raises NoteRefused where readings (seconds, mbar) are no rise that could be read."""
        times = [second for second, _ in readings]
        if len(readings) < 2 or sorted(set(times)) != times:
            act = "Type them as 0:1.0e-6 60:3.1e-6 120:5.2e-6."
            raise NoteRefused("the isolation", "two readings or more, in order", str(len(readings)), act)
        if not all(0 < mbar < float("inf") for _, mbar in readings):
            raise NoteRefused("the isolation", "mbar above zero", "other numbers", "Type them as 60:3.1e-6.")


@dataclass(frozen=True)
class PumpDown:
    """One load. `minutes` rise and count from `zero` (a clock time, or None for a log that has none);
    `began` says that this is when pumping began, and not merely when the log did; `complaints` are what was
    said of the log when it was last read."""

    load: str
    minutes: tuple[float, ...]
    mbar: tuple[float, ...]
    began: bool
    zero: str | None = None
    isolations: tuple[Isolation, ...] = ()
    complaints: tuple[str, ...] = ()


def pump_downs(events: Iterable[Event]) -> dict[str, PumpDown]:
    """Every load among the events, in the order in which each was last heard of."""
    found: dict[str, PumpDown] = {}
    for event in events:
        payload = event.payload
        load = found.pop(payload["load"], None)
        found[payload["load"]] = _isolated(load, payload) if event.kind == "isolate" else _read(load, payload)
    return found


def minutes_between(first: str, last: str) -> float:
    """Minutes from one ISO 8601 time to another."""
    return round((moment(last) - moment(first)).total_seconds() / 60, 4)


def _read(load: PumpDown | None, payload) -> PumpDown:
    """Readings may come in any order; the later word on one time counts, and so does a later minute 0."""
    load = _moved(load, payload["zero"]) if load else None
    there = dict(zip(load.minutes, load.mbar, strict=True)) if load else {}
    there |= dict(zip(payload["minutes"], payload["mbar"], strict=True))
    minutes = tuple(sorted(there))
    made = load or PumpDown(payload["load"], (), (), False)
    return replace(
        made,
        minutes=minutes,
        mbar=tuple(there[at] for at in minutes),
        began=made.began or payload["began"],
        zero=payload["zero"],
        complaints=tuple(payload.get("complaints", ())),
    )


def _moved(load: PumpDown, zero: str | None) -> PumpDown:
    """The same load with its minutes counted from another clock time."""
    if zero == load.zero or not (zero and load.zero and "T" in zero and "T" in load.zero):
        return load
    by = minutes_between(zero, load.zero)
    isolations = tuple(replace(one, at_min=round(one.at_min + by, 4)) for one in load.isolations)
    minutes = tuple(round(at + by, 4) for at in load.minutes)
    return replace(load, minutes=minutes, zero=zero, isolations=isolations)


def _isolated(load: PumpDown, payload) -> PumpDown:
    one = Isolation(payload["at_min"], tuple(payload["seconds"]), tuple(payload["mbar"]))
    return replace(load, isolations=tuple(sorted((*load.isolations, one), key=lambda each: each.at_min)))
