"""The other sane choices of baseline and scale, one at a time."""

from __future__ import annotations

from collections.abc import Iterator

from edgeshift.recipe.knobs import Recipe


def sane_choices(settled: Recipe) -> Iterator[Recipe]:
    """Recipes that differ from a settled one in one choice that somebody else may have made as well.

    The stretch below the edge shortened by a third at either end, a line in place of a level or a level in
    place of a line, the stretch above shortened by a third at either end (common practice, no source).
    """
    (low, high), degree = settled.baseline.below_ev, settled.baseline.degree
    third = (high - low) / 3
    for below, power in (
        ((low, high - third), degree),
        ((low + third, high), degree),
        ((low, high), 1 - degree),
    ):
        knobs = {"below_ev": below, "degree": max(0, power)}
        yield settled.model_copy(update={"baseline": settled.baseline.model_copy(update=knobs)})
    low, high = settled.scale.above_ev
    third = (high - low) / 3
    for above in ((low, high - third), (low + third, high)):
        yield settled.model_copy(update={"scale": settled.scale.model_copy(update={"above_ev": above})})
