"""The companion that assumes nothing: every way the labels could have fallen, counted out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from edgeshift.numerics.permutations import (
    MOST_LABELLINGS,
    exact_p,
    exact_paired_p,
    smallest_reachable_p,
)
from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.features import feature_words
from edgeshift.questions.real.nest import Nest
from edgeshift.wording import looks as words


@dataclass(frozen=True)
class Companion:
    """How often reshuffled units go as far as the measured ones did: `p`, and the smallest it could be.

    `ways` is the number of labellings; `of` says which number of each unit was reshuffled.
    """

    p: float
    smallest: float
    ways: int
    paired: bool
    of: str

    @property
    def told(self) -> str:
        """In counts."""
        as_far, fewest = round(self.p * self.ways), round(self.smallest * self.ways)
        return words.exact(as_far, self.ways, fewest, self.paired, self.of)


def companion(asked: Asked) -> Companion | None:
    """The exact companion of the units that the third rung rests on; None where there are too many ways."""
    found = asked.judged.nest
    counts = [len(units) for _, units in found.arms]
    ways = 2 ** counts[0] if found.paired else math.comb(sum(counts), counts[0])
    if ways > MOST_LABELLINGS:
        return None
    by_feature = asked.feature_judges("units")
    control, treated, what = _by_feature(asked) if by_feature else _where_most_different(found)
    p = exact_paired_p(treated - control) if found.paired else exact_p(control, treated)
    smallest = smallest_reachable_p(*counts, found.paired)
    return Companion(p, smallest, ways, found.paired, words.exact_of(what, by_feature))


def _by_feature(asked: Asked) -> tuple[np.ndarray, np.ndarray, str]:
    arms = (np.array([u.feature for u in units]) for _, units in asked.judged.nest.arms)
    return *arms, feature_words(asked.comparison.feature)


def _where_most_different(found: Nest) -> tuple[np.ndarray, np.ndarray, str]:
    place = int(np.argmax(np.abs(found.difference)))
    arms = (np.array([u.curve[place] for u in units]) for _, units in found.arms)
    return *arms, f"height at {float(found.energy_ev[place]):.1f} eV"
