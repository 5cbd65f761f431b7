"""What is asked: every edge with every treated arm, each with its ladder and what its third rung rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from edgeshift.questions.real.judging import Judged, judged_by_looks
from edgeshift.questions.real.looks import Standing
from edgeshift.questions.real.nest import Nest, nest
from edgeshift.questions.real.one_more import OneMore, one_more
from edgeshift.questions.real.rungs import Ladder, climb
from edgeshift.questions.real.verdict import Evidence, untestable
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.comparison import Comparison
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.once import Once


@dataclass(frozen=True)
class Asked:
    """One edge and one treated arm. `nest` and `ladder` are None where an arm has nothing kept.

    Both hold all that is kept, and everything that is shown; the third rung rests on `judged`. `arms` is
    the number of treated arms that share the control: the price of asking them all. `control_named` is
    False where no arm was called the control and the first one was taken.
    """

    edge: str
    control: str
    treated: str
    comparison: Comparison
    arms: int
    nest: Nest | None = None
    ladder: Ladder | None = None
    judged: Judged = Judged()
    control_named: bool = True

    @property
    def name(self) -> str:
        """Unique among the asked."""
        return f"{self.edge}/{self.treated}"

    @property
    def by_feature(self) -> bool:
        """Judged by its one feature only where that was named before looking; else by the whole curve."""
        return self._by_feature(self.ladder)

    @cached_property
    def one_more(self) -> tuple[OneMore, ...]:
        """What one more scan, spot or unit would do to what is shown; weighed once, whatever the levels."""
        return one_more(self.nest, self.by_feature)

    def evidence(self, rung: str) -> Evidence | None:
        """What the rung is judged by; the third by its last look, whatever came since."""
        if self.ladder is None:
            return None
        if rung == "units" and self.judged.why and self.ladder.curves["units"].testable:
            return untestable(self.judged.why)
        ladder = self._ladder(rung)
        return (ladder.features if self._by_feature(ladder) else ladder.curves)[rung]

    def judged_as_shown(self, rung: str) -> bool:
        """Whether this rung is judged by all that is shown: the third one is frozen between its looks."""
        return rung != "units" or not (self.judged.frozen or self.judged.why)

    def feature_judges(self, rung: str) -> bool:
        """Whether this rung is judged by the feature."""
        return self._by_feature(self._ladder(rung))

    def testable(self, rung: str) -> bool:
        """Whether the rung can be tested at all."""
        found = self.evidence(rung)
        return found is not None and found.testable

    def chance(self, rung: str) -> float:
        """The chance of luck going this far, times the number of treated arms."""
        return min(1.0, self.arms * self.evidence(rung).chance)

    def _ladder(self, rung: str) -> Ladder | None:
        return self.judged.ladder or self.ladder if rung == "units" else self.ladder

    def _by_feature(self, ladder: Ladder | None) -> bool:
        named = self.comparison.declared == "before" and self.comparison.feature is not None
        return named and ladder is not None and ladder.features is not None


def ask_edge(
    edge_set: EdgeSet,
    experiment: Experiment,
    comparison: Comparison,
    standings: Mapping[str, Standing] | None,
    once: Once,
) -> list[Asked]:
    """One edge with every treated arm that has spots there, in the order of the text.

    `standings` say by treated arm which looks were taken; None: nobody keeps a book, and this is the only
    look.
    """
    asked = []
    here = treated_arms(edge_set, experiment)
    for arm in here:
        control = experiment.control.name
        found = nest(edge_set, experiment, (control, arm), comparison.feature, once)
        ladder = climb(found, comparison.feature is not None) if found else None
        judged = Judged(found, ladder)
        if standings is not None and found:
            judged = judged_by_looks(edge_set, experiment, judged, standings[arm], comparison, once)
        named = experiment.control.control
        asked.append(Asked(edge_set.edge, control, arm, comparison, len(here), found, ladder, judged, named))
    return asked


def treated_arms(edge_set: EdgeSet, experiment: Experiment) -> list[str]:
    """Treated arms with kept spots at this edge, in the order of the text; the first one where none has."""
    control = experiment.control
    treated = [arm.name for arm in experiment.arms if control and arm.name != control.name]
    return [a for a in treated if any(s.place.arm == a for s in edge_set.spots)] or treated[:1]
