"""The companion that assumes nothing: every way the labels could have fallen, counted out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from edgeshift.numerics.permutations import (
    MOST_LABELLINGS,
    MOST_LABELLINGS_ANYWHERE,
    exact_p,
    exact_p_anywhere,
    exact_paired_p,
    exact_paired_p_anywhere,
    smallest_reachable_p,
)
from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.features import feature_words
from edgeshift.questions.real.nest import Nest
from edgeshift.wording import looks as words


@dataclass(frozen=True)
class Companion:
    """How often reshuffled units go as far as the measured ones did: `p`, and the smallest it could be.

    `ways` is the number of labellings; `of` says what of each labelling was compared: the declared feature,
    or, where the whole curve judges, the largest difference anywhere.
    """

    p: float
    smallest: float
    ways: int
    paired: bool
    of: str
    by_feature: bool

    @property
    def told(self) -> str:
        """In counts."""
        as_far, fewest = round(self.p * self.ways), round(self.smallest * self.ways)
        return words.exact(as_far, self.ways, fewest, self.paired, self.by_feature)


def companion(asked: Asked) -> Companion | None:
    """The exact companion of the units that the third rung rests on; None where there are too many ways."""
    found, by_feature = asked.judged.nest, asked.feature_judges("units")
    counts = [len(units) for _, units in found.arms]
    ways = 2 ** counts[0] if found.paired else math.comb(sum(counts), counts[0])
    if ways > (MOST_LABELLINGS if by_feature else MOST_LABELLINGS_ANYWHERE):
        return None
    smallest = smallest_reachable_p(*counts, found.paired)
    of = feature_words(asked.comparison.feature) if by_feature else words.ANYWHERE
    return Companion(_p(found, by_feature), smallest, ways, found.paired, of, by_feature)


def _p(found: Nest, by_feature: bool) -> float:
    control, treated = (
        np.array([u.feature if by_feature else u.curve for u in units]) for _, units in found.arms
    )
    if found.paired:
        return (exact_paired_p if by_feature else exact_paired_p_anywhere)(treated - control)
    return (exact_p if by_feature else exact_p_anywhere)(control, treated)
