"""The clock of the day: the one notion of the present that every page, answer and rewound moment shares.

The book has the times at which things were done here. Files that are taken in live were measured then too.
Those of another day (a rehearsal, a shift that is looked at afterwards) carry that day in their headers: it
is the day that a page shows, so the present is there too, at the last thing that happened.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from edgeshift.actions.session import Known
from edgeshift.figures.day_line import day_clock, moments_of
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.pump_down import minutes_between
from edgeshift.records.shift_state import moment
from edgeshift.reduction.steps.columns import FULL_ZONE

SAME_DAY = timedelta(hours=24)
"""A typed end that lies farther away belongs to another day."""
OVER = timedelta(hours=12)
"""A day whose last moment lies so far from the present is another day (our choice, no source)."""


def by_day(known: Known) -> Callable[[str], str]:
    """From a time of the book to the time of the day."""
    return day_clock(known.state, [scan for group in known.scans.values() for scan in group])


def present(known: Known, now: str) -> str:
    """When it is on the day that is shown: `now`, the last moment of another day, or where it was rewound."""
    if known.state.until is not None:
        return by_day(known)(known.state.until)
    scans = [scan for group in known.scans.values() for scan in group]
    last = max((moment(one.start) for one in moments_of(known.state, scans)), default=moment(now))
    return now if abs(moment(now) - last) < OVER else last.isoformat()


def end_of_day(known: Known, at: str) -> str | None:
    """The typed end of the day on which `at` lies; None where nobody typed it."""
    end = known.experiment.day.ends
    return end if end is not None and abs(moment(end) - moment(at)) <= SAME_DAY else None


def minutes_left(known: Known) -> float | None:
    """From the last thing that the book knows to the typed end of the day; never below 0."""
    if not known.state.events:
        return None
    at = present(known, known.state.events[-1].time)
    end = end_of_day(known, at)
    return None if end is None else max(0.0, minutes_between(at, end))


def offset_min(experiment: Experiment) -> int:
    """How far the room's clock is ahead of UTC: by the typed end of the day, else by the beamline's zone."""
    zone = experiment.beamline.zone
    said = experiment.day.ends or (f"2000-01-01T00:00:00{zone}" if zone and FULL_ZONE.match(zone) else None)
    return round(moment(said).utcoffset().total_seconds() / 60) if said else 0
