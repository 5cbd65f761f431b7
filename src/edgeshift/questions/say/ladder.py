"""The ladder of claim levels with what each asks for, and how far up it the data carry."""

from __future__ import annotations

from dataclasses import dataclass

from edgeshift.questions.say.grounds import Grounds
from edgeshift.questions.say.needs import ASKS, Need
from edgeshift.records.room import Claim

RESEMBLES = 4
"""What a change looks like is no step towards what caused it: levels 5 and 6 do not stand on it."""


@dataclass(frozen=True)
class Step:
    """One claim level and what it asks for beyond those beneath it."""

    level: int
    needs: tuple[Need, ...]

    @property
    def state(self) -> str:
        """met, not-met, cannot-tell or not-asked: the worst of its needs; a level without any was not
        asked for, because one beneath it fails."""
        states = [need.state for need in self.needs]
        worst = ("not-met", "cannot-tell", "not-asked", "met")
        return next((state for state in worst if state in states), "not-asked")


def ladder(claim: Claim, grounds: Grounds) -> tuple[Step, ...]:
    """All seven levels, from the bottom."""
    return tuple(Step(level, tuple(needs(claim, grounds))) for level, needs in ASKS)


def beneath(asked: int) -> tuple[int, ...]:
    """The levels in the order in which a claim of level `asked` climbs them, beyond it too."""
    return (0, 1, 2, 3, RESEMBLES) if asked == RESEMBLES else (0, 1, 2, 3, 5, 6)


def carried(steps: tuple[Step, ...], asked: int) -> int | None:
    """The highest level that is met with all beneath it; None where not even a scan is kept."""
    reached = None
    for level in beneath(asked):
        if steps[level].state != "met":
            break
        reached = level
    return reached


def stands(steps: tuple[Step, ...], level: int) -> str:
    """The state of a level as one that stands on those beneath it: nothing is met on a rung that is not."""
    own = steps[level].state
    return own if own != "met" or carries(steps, level) else "not-met"


def carries(steps: tuple[Step, ...], asked: int, design: bool = True) -> bool:
    """Whether everything a claim of this level asks for is met; without `design`, all that was read from
    measurements."""
    needed = [need for level in beneath(asked) if level <= asked for need in steps[level].needs]
    judged = [need for need in needed if design or not need.design]
    whole = all(steps[level].needs for level in beneath(asked) if level <= asked)
    return whole and all(need.state == "met" for need in judged)


def missing(steps: tuple[Step, ...], asked: int) -> list[tuple[int, Need]]:
    """What is not met of what the claim asks for, from the bottom."""
    levels = [level for level in beneath(asked) if level <= asked]
    return [(level, need) for level in levels for need in steps[level].needs if need.state != "met"]
