"""Everything the reduction made of one edge: single scans, spots, and how."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.spectrum import Pass, Spectrum


@dataclass(frozen=True)
class EdgeSet:
    """One edge, reduced. `passes` are the scans after their points were flagged (all of them, also those
    set aside); `scans` and `spots` hold only kept ones: `scans` by scan key, `spots` in order.

    `recipe` is the recipe with its empty knobs settled for this edge; `methods` are the sentences of the
    steps that really ran, in order. `given_up` are those among `set_aside` that a person set aside: nobody
    waits for them any more.
    """

    edge: str
    passes: tuple[Pass, ...]
    scans: Mapping[str, Spectrum]
    spots: tuple[Spectrum, ...]
    recipe: Recipe
    methods: tuple[str, ...]
    set_aside: frozenset[str] = frozenset()
    given_up: frozenset[str] = frozenset()
