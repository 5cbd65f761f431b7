"""What a claim is held against: the answers to the other questions, and what the text says of the design."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer
from edgeshift.records.room import Claim


@dataclass(frozen=True)
class Grounds:
    """The answers that bear on one claim, all of one moment.

    `kept` and `taken` count the scans of its edge (of all edges where it names none). `here` is None where
    it was not asked, `real` where two arms cannot be compared at its edge; `controls` are the answers to
    "real" of control edges, `shares` those of every specimen there (None: not asked). `confounded` says that
    one arm was measured all before the other.
    """

    experiment: Experiment
    kept: int = 0
    taken: int = 0
    here: Answer | None = None
    real: Answer | None = None
    controls: tuple[Answer, ...] = ()
    shares: tuple[Answer, ...] | None = None
    confounded: bool = False

    @property
    def units(self) -> int:
        """Units in the smaller arm; pairs, where they are paired."""
        counts = (self.detail.get("units") or {}).values()
        return min(counts, default=0)

    @property
    def detail(self) -> Mapping[str, Any]:
        """The numbers of the comparison; empty where there is none."""
        return self.real.detail if self.real else {}


def element_of(edge: str) -> str:
    """The element of an edge's name."""
    return edge.partition(" ")[0]


def treated_of(claim: Claim, experiment: Experiment) -> str | None:
    """The treated arm that a claim speaks of beside the control; None where it names no such two.

    A claim that names no arm speaks of the only treated one.
    """
    control = experiment.control and experiment.control.name
    treated = [arm.name for arm in experiment.arms if arm.name != control]
    named = [arm for arm in claim.arms if arm != control]
    if not claim.arms:
        return treated[0] if len(treated) == 1 else None
    return named[0] if len(named) == 1 and named[0] in treated else None
