"""Readings of a gauge and isolations of a load lock, entered into the book. The log itself is only read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who, enter
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.pump_down import Isolation, minutes_between, pump_downs
from edgeshift.records.shift_state import ShiftState, moment

TYPED = "typed"
"""The load whose readings are typed, where nobody gave it a name."""
LONGEST_ISOLATION_S = 3600.0


class Given(NamedTuple):
    """A gauge's log as it was handed in: its name, its bytes, and the unit where it names none."""

    file: str
    data: bytes
    unit: str | None = None


def pressure(
    folder: ExperimentFolder,
    desk: Desk,
    who: Who,
    mbar: float,
    load: str | None = None,
    at: str | None = None,
    began: str | None = None,
) -> Event:
    """One reading, typed. `at` is when (ISO 8601; None: now), `began` when this load's pumping began."""

    def payload(state: ShiftState) -> dict[str, Any]:
        if not (math.isfinite(mbar) and mbar > 0):
            raise NoteRefused("the pressure", "mbar above zero", f"{mbar:g}", "Type it as 3.2e-6.")
        name = load or _last_load(state) or TYPED
        there = pump_downs(state.pumping).get(name)
        when = at or desk.now()
        moment(when)  # a time that is none is refused here
        zero = began or (there.zero if there else None) or when
        if there is not None and there.zero is None:
            needed, act = "readings with a clock", "Give this load another name: --load."
            raise NoteRefused(f"the load {name!r}", needed, "a log that counts minutes", act)
        minute = minutes_between(zero, when)
        if minute < 0:
            raise NoteRefused("the reading", "a time after pumping began", when, "Check --at and --began.")
        return _readings(name, None, zero, began is not None or bool(there and there.began), [minute], [mbar])

    return enter(folder, desk, who, "pressure", payload)


def pressure_log(
    folder: ExperimentFolder,
    desk: Desk,
    who: Who,
    given: Given,
    load: str | None = None,
    began: str | None = None,
    from_start: bool = False,
) -> Event:
    """What is new in a gauge's log since it was last read. The file may go on growing; it is never written.

    `began` is when pumping began (ISO 8601, for a log with dates); `from_start` says that the log's own
    minutes count from there. Raises UnreadableFile for a file that is no log.
    """
    from edgeshift.formats.pressure_log import read

    file, log = given.file, read(*given)

    def payload(state: ShiftState) -> dict[str, Any]:
        name = load or file.rpartition(".")[0] or file
        there = pump_downs(state.pumping).get(name)
        zero, minutes = _on_one_clock(log, there, began)
        known = there.minutes[-1] if there else -math.inf
        fresh = [at > known for at in minutes]
        if not any(fresh):
            found = f"none after minute {known:.4g}"
            raise NoteRefused(file, "readings that are new", found, "Wait until the gauge has written more.")
        counted = from_start or began is not None or bool(there and there.began)
        chosen = [(at, value) for at, value, new in zip(minutes, log.mbar, fresh, strict=True) if new]
        readings = _readings(name, file, zero, counted, *map(list, zip(*chosen, strict=True)))
        return readings | ({"complaints": list(log.complaints)} if log.complaints else {})

    return enter(folder, desk, who, "pressure", payload)


def isolate(
    folder: ExperimentFolder,
    desk: Desk,
    who: Who,
    readings: Sequence[tuple[float, float]],
    load: str | None = None,
    at_minute: float | None = None,
) -> Event:
    """A rise with the pump shut off: (seconds since it was shut off, mbar), two readings or more.

    `at_minute` is when, on the load's own clock; None: at its last reading.
    """

    def payload(state: ShiftState) -> dict[str, Any]:
        loads = pump_downs(state.pumping)
        name = load or _last_load(state)
        if name not in loads:
            found = ", ".join(loads) or "no load yet"
            raise NoteRefused("the isolation", "a load with readings", found, "Note its pressures first.")
        Isolation.check(readings)
        if max(second for second, _ in readings) > LONGEST_ISOLATION_S:
            raise NoteRefused("the isolation", "at most an hour", "longer", "Type the times in seconds.")
        at = loads[name].minutes[-1] if at_minute is None else at_minute
        seconds, mbar = (list(part) for part in zip(*readings, strict=True))
        return {"load": name, "at_min": at, "seconds": seconds, "mbar": mbar}

    return enter(folder, desk, who, "isolate", payload)


def _readings(load, file, zero, began, minutes: list[float], mbar: list[float]) -> dict[str, Any]:
    return {"load": load, "file": file, "zero": zero, "began": began, "minutes": minutes, "mbar": mbar}


def _last_load(state: ShiftState) -> str | None:
    return state.pumping[-1].payload["load"] if state.pumping else None


def _on_one_clock(log, there, began: str | None) -> tuple[str | None, list[float]]:
    """Minute 0 and the log's minutes after it, on the clock of the load so far."""
    dated = log.zero is not None and "T" in log.zero
    if began is not None and not dated:
        needed, act = "a log with dates", "If its minutes count from when pumping began, say --from-start."
        raise NoteRefused("--began", needed, "a log without", act)
    zero = began or (there.zero if there else log.zero)
    if not dated or zero is None or "T" not in zero:
        return zero, list(log.minutes)
    shift = minutes_between(zero, log.zero)
    return zero, [round(at + shift, 4) for at in log.minutes]
