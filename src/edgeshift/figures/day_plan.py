"""A planned day as moments of the day line: the same lanes as the lived one, drawn hollow."""

from __future__ import annotations

from datetime import timedelta

from edgeshift.figures.day_line import day_line
from edgeshift.planning.budget import Budget
from edgeshift.records.figure import Figure, Moment, MomentKind
from edgeshift.records.shift_state import moment
from edgeshift.wording import planning as words

NO_CLOCK = "2000-01-01T00:00:00+00:00"
"""Where nobody typed when the day ends it begins at 0:00: the line then counts its hours."""
_LANE: dict[str, MomentKind] = {
    "pump": "vacuum", "transfer": "vacuum", "exchange": "vacuum", "remount": "vacuum",
    "decide": "decision",
    "find-beam": "plan", "survey": "plan", "measure": "plan", "closing": "plan",
}  # fmt: skip
"""What is no people's work of its own; spare time leaves no mark."""


def planned_moments(budget: Budget, zero: str | None) -> list[Moment]:
    """Every stretch of the day as something planned; `zero` is when the shift begins (ISO 8601)."""
    begins = moment(zero or NO_CLOCK)

    def at(minute: float) -> str:
        return (begins + timedelta(minutes=minute)).isoformat()

    return [
        Moment(_LANE.get(one.kind, "people"), at(one.start_min), at(one.end_min), words.short(one), "planned")
        for one in budget.stretches
        if one.kind != "spare"
    ]


def day_plan(budget: Budget, zero: str | None, lasts_min: float) -> Figure:
    """The day as planned, fallen where the plan begins: all of it lies ahead."""
    begins = moment(zero or NO_CLOCK)
    offset = begins.utcoffset() or timedelta()
    now = begins + timedelta(minutes=budget.stretches[0].start_min)
    end = begins + timedelta(minutes=lasts_min)
    return day_line(
        planned_moments(budget, zero), now.isoformat(), end.isoformat(), begin=begins.isoformat(),
        offset_min=round(offset.total_seconds() / 60),
    )  # fmt: skip
