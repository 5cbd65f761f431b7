"""What is asked: every edge with every treated arm, each with its ladder."""

from __future__ import annotations

from dataclasses import dataclass

from edgeshift.questions.real.nest import Nest, nest
from edgeshift.questions.real.rungs import Ladder, climb
from edgeshift.questions.real.verdict import Evidence
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.comparison import Comparison
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.once import Once


@dataclass(frozen=True)
class Asked:
    """One edge and one treated arm. `nest` and `ladder` are None where an arm has nothing kept.

    `arms` is the number of treated arms that share the control: the price of asking them all.
    `control_named` is False where no arm was called the control and the first one was taken.
    """

    edge: str
    control: str
    treated: str
    comparison: Comparison
    arms: int
    nest: Nest | None = None
    ladder: Ladder | None = None
    control_named: bool = True

    @property
    def name(self) -> str:
        """Unique among the asked."""
        return f"{self.edge}/{self.treated}"

    @property
    def by_feature(self) -> bool:
        """Judged by its one feature only where that was named before looking; else by the whole curve."""
        named = self.comparison.declared == "before" and self.comparison.feature is not None
        return named and self.ladder is not None and self.ladder.features is not None

    def evidence(self, rung: str) -> Evidence | None:
        """What the rung is judged by."""
        if self.ladder is None:
            return None
        return (self.ladder.features if self.by_feature else self.ladder.curves)[rung]

    def testable(self, rung: str) -> bool:
        """Whether the rung can be tested at all."""
        found = self.evidence(rung)
        return found is not None and found.testable

    def chance(self, rung: str) -> float:
        """The chance of luck going this far, times the number of treated arms."""
        return min(1.0, self.arms * self.evidence(rung).chance)


def ask_edge(edge_set: EdgeSet, experiment: Experiment, comparison: Comparison, once: Once) -> list[Asked]:
    """One edge with every treated arm that has spots there, in the order of the text."""
    control = experiment.control
    treated = [arm.name for arm in experiment.arms if control and arm.name != control.name]
    here = [a for a in treated if any(s.place.arm == a for s in edge_set.spots)] or treated[:1]
    asked = []
    for arm in here:
        found = nest(edge_set, experiment, (control.name, arm), comparison.feature, once)
        ladder = climb(found, comparison.feature is not None) if found else None
        asked.append(
            Asked(edge_set.edge, control.name, arm, comparison, len(here), found, ladder, control.control)
        )
    return asked
