"""Looks at units: what share of the level each may spend, whatever the question. Whoever looks pays."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from edgeshift.recipe.experiment import Experiment
from edgeshift.records.event import Event

FEWEST = 2
"""With fewer units in an arm there is nothing to judge by, so there is no look."""
_NOTHING = 1e-9
"""A share of the level below this is a rounding of nothing."""


@dataclass(frozen=True)
class Look:
    """One look at the units of an edge and a treated arm, as the book holds it.

    `units` is the number of complete units in the smaller arm (or of complete pairs), `planned` the number
    that the level is shared by, `level` what this look spent, `arrivals` the number of the last arrival that
    was in by then, `number` the look's own line in the book. `question` is real for the third rung of an
    edge, here for amounts; then `edge` holds element and reference, as Fe/Al.
    """

    edge: str
    control: str
    treated: str
    units: int
    planned: int
    level: float
    arrivals: int
    number: int = 0
    question: str = "real"

    @property
    def payload(self) -> dict[str, Any]:
        """What the event holds."""
        told = asdict(self)
        del told["number"]
        return {"question": told.pop("question"), **told}


def looks_in(
    events: Iterable[Event], edge: str, treated: str, named: Collection[str], question: str = "real"
) -> tuple[Look, ...]:
    """The looks of one edge and treated arm among the look events of a book, in order.

    `named` are the treated arms that the text names now. Looks at an arm that is none of them count too
    where they came before this arm's own: another name for the same units brings no level back.
    """
    here = [look for look in all_looks(events, question) if look.edge == edge]
    own = [look for look in here if look.treated == treated]
    before = [look for look in here if look.treated not in named and (not own or look.number < own[0].number)]
    return (*before, *own)


def all_looks(events: Iterable[Event], question: str) -> list[Look]:
    """Every look of one question among the look events of a book, in order."""
    parts = ("edge", "control", "treated", "units", "planned", "level", "arrivals")
    return [
        Look(*(event.payload[part] for part in parts), number=event.number, question=question)
        for event in events
        if event.payload.get("question") == question
    ]


def treated_in(experiment: Experiment) -> list[str]:
    """The arms of the text but the control, in its order."""
    return [arm.name for arm in experiment.arms if arm != experiment.control]


def level_of_look(units: int, planned: int, level: float, earlier: Sequence[Look]) -> float:
    """What a look at `units` may spend; 0.0 where none is due.

    Every number of units from two to the planned one owns an equal share of the level. A look spends its own
    share and those of the looks before it that were never taken. The plan of the first look stays in force.
    """
    planned = earlier[0].planned if earlier else planned
    if min(units, planned) < FEWEST or (earlier and units <= earlier[-1].units):
        return 0.0
    allowed = level * min(1.0, (units - 1) / (planned - 1))
    left = allowed - sum(look.level for look in earlier)
    return left if left > _NOTHING * level else 0.0


def next_look_at(planned: int, level: float, earlier: Sequence[Look]) -> int | None:
    """The number of complete units at which the third rung is judged next; None: never again."""
    units = earlier[-1].units + 1 if earlier else FEWEST
    return units if level_of_look(units, planned, level, earlier) else None
