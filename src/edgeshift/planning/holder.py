"""Who is mounted when, and in which order each round goes."""

from __future__ import annotations

from itertools import chain, zip_longest

from edgeshift.recipe.experiment import Experiment


def loads(experiment: Experiment) -> tuple[tuple[str, ...], ...]:
    """The names on each load's holder, place by place, in the order of the text; at least one load.

    Standards and bare mounts come with every load, specimens fill what is left. Where standards leave no
    place, each load still takes one specimen: the text asks for too much, and the map shows it.
    """
    always = [each.name for each in experiment.specimens if each.kind != "specimen"]
    mounted = [each.name for each in experiment.specimens if each.kind == "specimen"]
    room = max(1, experiment.day.holder_places - len(always))
    parts = [mounted[at : at + room] for at in range(0, len(mounted), room)] or [[]]
    return tuple((*part, *always) for part in parts)


def in_turn(experiment: Experiment, holder: tuple[str, ...]) -> tuple[str, ...]:
    """The specimens of one holder with arms in turn, pairs side by side; a specimen of no arm comes last.

    A second round goes the other way, so that what drifts evenly meets every arm alike.
    """
    units = {unit.name: unit for unit in experiment.units}
    here = [each for each in experiment.specimens if each.kind == "specimen" and each.name in holder]
    pairs: dict[str, int] = {}
    for each in here:
        pair = units[each.unit].pair if each.unit else None
        pairs.setdefault(pair or "", len(pairs))
    by_arm: dict[str | None, list[str]] = {arm.name: [] for arm in experiment.arms}
    for each in sorted(here, key=lambda one: pairs[(units[one.unit].pair if one.unit else None) or ""]):
        by_arm.setdefault(units[each.unit].arm if each.unit else None, []).append(each.name)
    rest = by_arm.pop(None, [])
    turns = chain.from_iterable(zip_longest(*by_arm.values()))
    return (*(name for name in turns if name is not None), *rest)
