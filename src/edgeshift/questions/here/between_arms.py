"""Amounts between arms: one number a unit, tested like any feature, and only by looks that were paid for.

All elements against one reference are one family: each is judged at its share of the level, and so is each
treated arm. The first reference that units were looked at with stays the one that judges: another one would
be another look at the same units.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from edgeshift.numerics.two_groups import of_units, t_quantile
from edgeshift.questions.here.amounts import Ratio
from edgeshift.questions.level_shares import FEWEST, Look, all_looks, level_of_look, looks_in, treated_in
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.event import Event

QUESTION = "here"


@dataclass(frozen=True)
class AmountLooks:
    """How the amounts of one element in one treated arm stand with their looks in the book.

    `then` are the ratios from what had come by the last look, under everybody's present decisions. `judges`
    is the reference that the book's looks were taken with. `unwritten` says that a look was due and could
    not be written.
    """

    looks: tuple[Look, ...] = ()
    then: tuple[Ratio, ...] = ()
    judges: str = ""
    unwritten: bool = False


@dataclass(frozen=True)
class Compared:
    """One element against the reference, treated over control, from units alone; 95 of 100 intervals of this
    kind hold the truth for all elements together. What shifts both arms alike (tables, monitor, depth)
    cancels.

    `state` is lit, not-shown, cannot-test or waits; `times` with `low` and `high` are NaN in the last two.
    `why` is empty, or unit, unwritten, not-looked or other-reference where it waits. `looks` counts the looks
    in the book (0 where nobody keeps one), `level` is what this judgement spent, and `reference` the element
    that judges.
    """

    element: str
    control: str
    treated: str
    units: tuple[int, int]
    paired: bool
    state: str
    times: float = math.nan
    low: float = math.nan
    high: float = math.nan
    why: str = ""
    looks: int = 0
    level: float = 0.0
    reference: str = ""


@dataclass(frozen=True)
class _Unit:
    """A unit as it counts: those treated together are one, and have no pair of their own."""

    name: str
    arm: str
    pair: str | None
    members: tuple[str, ...]


def compared(
    found: Sequence[Ratio],
    experiment: Experiment,
    reference: str,
    standings: Mapping[tuple[str, str], AmountLooks] | None = None,
    live: bool = True,
) -> list[Compared]:
    """Each element's ratio between the control and every treated arm, unit by unit.

    `standings` say by element and treated arm which looks were taken; None: nobody keeps a book, and this is
    the only look, at the whole level. `live` is false for a question about an earlier moment.
    """
    if experiment.control is None or len(experiment.arms) < 2:
        return []
    treated = treated_in(experiment)
    each_element = sorted({each.element for each in found})
    told = []
    for element in each_element:
        for arm in treated:
            if standings is None:
                level = experiment.recipe.compare.level
                told.append(_judged(found, experiment, element, arm, level, reference))
            else:
                standing = standings.get((element, arm), AmountLooks())
                told.append(_by_looks(found, experiment, element, arm, reference, standing, live))
    return told


def due(found: Sequence[Ratio], experiment: Experiment, events: Iterable[Event], last: int) -> list[Look]:
    """The looks at amounts that have become due: one for each element and treated arm with a new complete
    unit, against the reference of `found`. `last` is the number of the last arrival."""
    if experiment.control is None or not found:
        return []
    events, reference = list(events), found[0].reference
    waiting = []
    for element in sorted({each.element for each in found}):
        for arm in treated_in(experiment):
            if judging(events, arm, reference) != reference:
                continue
            earlier = looks_of(events, experiment, element, arm, reference)
            units = _complete(found, experiment, element, arm)
            planned = earlier[0].planned if earlier else _planned(experiment, element, arm)
            spends = level_of_look(units, planned, experiment.recipe.compare.level, earlier)
            if spends:
                key, control = _key(element, reference), experiment.control.name
                look = Look(key, control, arm, units, planned, spends, last, question=QUESTION)
                waiting.append(look)
    return waiting


def judging(events: Iterable[Event], treated: str, reference: str) -> str:
    """The reference that judges amounts in this arm: that of its first look, else `reference`."""
    first = next((look for look in all_looks(events, QUESTION) if look.treated == treated), None)
    return first.edge.partition("/")[2] if first else reference


def looks_of(
    events: Iterable[Event], experiment: Experiment, element: str, treated: str, reference: str
) -> tuple[Look, ...]:
    """The looks at one element in one treated arm against this reference, in order."""
    return looks_in(events, _key(element, reference), treated, treated_in(experiment), QUESTION)


def _key(element: str, reference: str) -> str:
    return f"{element}/{reference}"


def _by_looks(
    found: Sequence[Ratio],
    experiment: Experiment,
    element: str,
    arm: str,
    reference: str,
    standing: AmountLooks,
    live: bool,
) -> Compared:
    """As of the last look, at what that look spent; what came since is not judged yet."""
    judges = standing.judges or reference
    if standing.looks and judges == reference:
        told = _judged(standing.then, experiment, element, arm, standing.looks[-1].level, reference)
        return Compared(**{**told.__dict__, "looks": len(standing.looks)})
    control = experiment.control.name
    units, paired = _sides(found, experiment, element, arm)
    counts = (len(units[1]), len(units[0]))
    few = _planned(experiment, element, arm) < FEWEST
    state = "cannot-test" if few else "waits"
    why = "" if few else "other-reference" if judges != reference else "unit" if live else "not-looked"
    why = "unwritten" if standing.unwritten and why == "unit" else why
    return Compared(element, control, arm, counts, paired, state, why=why, reference=judges)


def _judged(
    found: Sequence[Ratio], experiment: Experiment, element: str, arm: str, level: float, reference: str
) -> Compared:
    (treated, control), paired = _sides(found, experiment, element, arm)
    control_name = experiment.control.name
    counts = (len(control), len(treated))
    level /= _price(found, experiment, reference)
    if min(counts) < 2:
        return Compared(element, control_name, arm, counts, paired, "cannot-test", reference=reference)
    test = of_units(np.array(treated), np.array(control), paired)
    if not math.isfinite(test.p):
        return Compared(element, control_name, arm, counts, paired, "cannot-test", reference=reference)
    half = t_quantile(1.0 - level / 2.0, test.df) * test.standard_error
    ends = (test.difference - half, test.difference + half)
    state = "lit" if ends[0] > 0 or ends[1] < 0 else "not-shown"
    times, low, high = (math.exp(min(max(each, -50.0), 50.0)) for each in (test.difference, *ends))
    return Compared(
        element, control_name, arm, counts, paired, state, times, low, high, level=level, reference=reference
    )


def _price(found: Sequence[Ratio], experiment: Experiment, reference: str) -> int:
    """How many answers share the level: every element that the text plans or that was measured, in every
    treated arm. Planned ones count from the start, or the first one would have been judged too cheaply."""
    planned = {plan.edge.split()[0] for plan in experiment.edges}
    elements = (planned | {each.element for each in found}) - {reference}
    return max(1, len(elements) * len(treated_in(experiment)))


def _units(experiment: Experiment, arm: str) -> list[_Unit]:
    """The units of an arm as they count."""
    groups: dict[str, list] = {}
    for unit in experiment.units:
        if unit.arm == arm:
            groups.setdefault(unit.batch or unit.name, []).append(unit)
    return [
        _Unit(name, arm, None if some[0].batch else some[0].pair, tuple(unit.name for unit in some))
        for name, some in groups.items()
    ]


def _sides(
    found: Iterable[Ratio], experiment: Experiment, element: str, arm: str
) -> tuple[tuple[list[float], list[float]], bool]:
    """(treated, control): one mean logarithm a unit, in one order where all units have pairs."""
    means = _unit_means(found, experiment, element)
    sides = [
        [
            (unit, float(np.mean([means[name] for name in unit.members if name in means])))
            for unit in _units(experiment, each)
            if any(name in means for name in unit.members)
        ]
        for each in (arm, experiment.control.name)
    ]
    if all(unit.pair for side in sides for unit, _ in side) and all(sides):
        theirs = {unit.pair: value for unit, value in sides[1]}
        both = [(value, theirs[unit.pair]) for unit, value in sides[0] if unit.pair in theirs]
        if both:
            first, second = zip(*both, strict=True)
            return (list(first), list(second)), True
    return ([value for _, value in sides[0]], [value for _, value in sides[1]]), False


def _unit_means(found: Iterable[Ratio], experiment: Experiment, element: str) -> dict[str, float]:
    """Unit -> mean over its specimens of the mean logarithm over their spots."""
    unit_of = {specimen.name: specimen.unit for specimen in experiment.specimens if specimen.unit}
    spots: dict[str, dict[str, list[float]]] = {}
    for each in found:
        if each.element == element and each.specimen in unit_of:
            own = spots.setdefault(unit_of[each.specimen], {})
            own.setdefault(each.specimen, []).append(math.log(each.value))
    return {unit: float(np.mean([np.mean(logs) for logs in own.values()])) for unit, own in spots.items()}


def _complete(found: Sequence[Ratio], experiment: Experiment, element: str, arm: str) -> int:
    """Complete units of the smaller arm, or complete pairs: those with as many spots as both edges' plans ask
    for; what is counted is spots in which both elements were measured."""
    unit_of = {specimen.name: specimen.unit for specimen in experiment.specimens if specimen.unit}
    spots: dict[str, set[tuple[str, str]]] = {}
    for each in found:
        if each.element == element and each.specimen in unit_of:
            spots.setdefault(unit_of[each.specimen], set()).add((each.specimen, each.spot))
    edges = [plan.edge for plan in experiment.edges if plan.edge.split()[0] in (element, found[0].reference)]
    needed = min((experiment.plan_for(edge).spots_per_unit for edge in edges), default=None)
    needed = experiment.plan.spots_per_unit if needed is None else needed
    sides = [
        [u for u in _units(experiment, each) if all(len(spots.get(n, ())) >= needed for n in u.members)]
        for each in (arm, experiment.control.name)
    ]
    return _smaller(*sides)


def _planned(experiment: Experiment, element: str, arm: str) -> int:
    """Units per arm (or pairs) that the level is shared by: the plan's, else those in the text."""
    edge = next((plan.edge for plan in experiment.edges if plan.edge.split()[0] == element), None)
    said = (experiment.plan_for(edge) if edge else experiment.plan).units_per_arm
    return said or _smaller(*(_units(experiment, each) for each in (arm, experiment.control.name)))


def _smaller(first: Sequence[_Unit], second: Sequence[_Unit]) -> int:
    """Pairs of which both halves are there where every unit has one; else units of the smaller side."""
    if first and second and all(unit.pair for unit in (*first, *second)):
        return len({unit.pair for unit in first} & {unit.pair for unit in second})
    return min(len(first), len(second))
