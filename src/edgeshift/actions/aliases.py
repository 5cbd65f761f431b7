"""What everything is called behind the curtain: arms by a lot, and whatever is in them by its arm."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import count

from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Arm, Calibration, EdgePlan, Experiment, Feature, Specimen, Unit
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.identity import digest
from edgeshift.wording.hush import Hush, words_of

LETTERS = "PQRSTUVWXYZ"
"""What the arms are called, in the order of the lot."""
LEAST_LETTERS = 4
"""A word of this length that only one arm's names hold gives that arm away; so does one with a digit."""
_NUMBERED = re.compile(r"(specimen|unlisted) \d+")


@dataclass(frozen=True, eq=False)
class Aliases:
    """True name -> what it is called behind the curtain; `arms` in the order of their letters.

    `control` is the true name of the true control, `looked` says as which arm the looks at a (true) treated
    arm count. `experiment` is the whole text under these names; `hush` hides true names in
    what people wrote.
    """

    lot: tuple[str, ...]
    arms: Mapping[str, str]
    control: str | None
    looked: Mapping[str, str]
    units: Mapping[str, str]
    specimens: Mapping[str, str]
    experiment: Experiment
    hush: Hush

    def open_look(self, payload: Mapping) -> dict:
        """A look that was taken behind the curtain, under the names that the book holds."""
        treated = {alias: name for name, alias in self.looked.items()}[payload["treated"]]
        return {**payload, "control": self.control, "treated": treated}


def aliases(experiment: Experiment, lot: tuple[str, ...], secrets: frozenset[str] = frozenset()) -> Aliases:
    """The aliases of this text by this lot (arm names in the order P, Q, ...); `secrets` are hushed too.

    With two arms P is the reference, whichever it truly is: then every comparison only turns its sign. With
    more the control stays the reference, or other comparisons would be made than those asked for.
    """
    arms = _arms(experiment, lot)
    units, letters = _units(experiment, arms)
    specimens = _specimens(experiment, units)
    control = experiment.control and experiment.control.name
    treated = [arm.name for arm in experiment.arms if arm.name != control]
    reference, looked = control, {name: arms[name] for name in treated}
    if len(arms) == 2:
        reference, second = arms
        looked = {treated[0]: arms[second]}
    hush = Hush(secrets | secrets_in(experiment))
    text = _Text(experiment, arms, units, letters, specimens, hush).experiment(reference)
    return Aliases(lot, arms, control, looked, units, specimens, text, hush)


def _arms(experiment: Experiment, lot: tuple[str, ...]) -> dict[str, str]:
    """Arms that no lot was drawn for take the letters that are left over, in an order nobody can foresee
    who does not know the whole text."""
    drawn = {name: _arm_letter(place) for place, name in enumerate(lot)}
    here = {arm.name: drawn[arm.name] for arm in experiment.arms if arm.name in drawn}
    late = [arm.name for arm in experiment.arms if arm.name not in drawn]
    left = (letter for letter in map(_arm_letter, count()) if letter not in here.values())
    late.sort(key=lambda name: digest(repr(lot), experiment.model_dump_json(), name))
    found = here | dict(zip(late, left, strict=False))
    return dict(sorted(found.items(), key=lambda both: (len(both[1]), both[1])))


def _arm_letter(place: int) -> str:
    whole, rest = divmod(place, len(LETTERS))
    return LETTERS[rest] + (str(whole + 1) if whole else "")


def _unit_letter(place: int) -> str:
    whole, rest = divmod(place, 26)
    return chr(ord("A") + rest) + (str(whole + 1) if whole else "")


def _units(experiment: Experiment, arms: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """Units by their arm and a letter, and pairs by their letter; an arm's units as the text has them, and
    the pairs as the first arm of the lot has them: no order of the text may tell one arm from another."""
    by_arm = {arm: [unit for unit in experiment.units if unit.arm == arm] for arm in arms}
    pairs = dict.fromkeys(unit.pair for some in by_arm.values() for unit in some if unit.pair)
    letters = {pair: _unit_letter(place) for place, pair in enumerate(pairs)}
    named: dict[str, str] = {}
    for arm, some in by_arm.items():
        left = map(_unit_letter, count(len(pairs)))
        for unit in some:
            named[unit.name] = f"{arms[arm]}-{letters[unit.pair] if unit.pair else next(left)}"
    return named, letters


def _specimens(experiment: Experiment, units: Mapping[str, str]) -> dict[str, str]:
    """The first of a unit by the unit's name, others with a number. Standards and blanks keep theirs."""
    named: dict[str, str] = {}
    for unit, alias in units.items():
        mine = [each.name for each in experiment.specimens if each.unit == unit]
        named |= {name: alias if nth == 1 else f"{alias} {nth}" for nth, name in enumerate(mine, 1)}
    taken, references = set(named.values()), references_in(experiment)
    nameless = (f"specimen {n}" for n in count(1))
    for each in experiment.specimens:
        if each.name in named:
            continue
        name = each.name
        if each.kind == "specimen" and name not in references:
            name = next(nameless)
        else:
            while name in taken or _NUMBERED.fullmatch(name):
                name = f"{each.kind} {name}"
        named[each.name] = name
        taken.add(name)
    return named


def references_in(experiment: Experiment) -> set[str]:
    """The clean references that the recipes name: they are in no arm, and keep their names."""
    recipes = [experiment.recipe, *(experiment.recipe_for(plan.edge) for plan in experiment.edges)]
    return {recipe.divide.reference for recipe in recipes if recipe.divide.reference}


def secrets_in(experiment: Experiment) -> frozenset[str]:
    """Every name of an arm or of what is in one, and the telling words that only one arm's names hold.

    What is in an arm is weighed apart from what the arm is called: else a word would be hidden or not by
    which arm it is in.
    """
    called = {arm.name: [arm.name, arm.words] for arm in experiment.arms}
    inside: dict[str, list[str]] = {arm.name: [] for arm in experiment.arms}
    arm_of = {unit.name: unit.arm for unit in experiment.units}
    for unit in experiment.units:
        inside[unit.arm] += [unit.name, *([unit.batch] if unit.batch else [])]
    for each in experiment.specimens:
        if each.unit:
            inside[arm_of[each.unit]].append(each.name)
    kept, whole = references_in(experiment), {name for some in called.values() for name in some if name}
    whole |= {name for some in inside.values() for name in some}
    whole |= {each.name for each in experiment.specimens if each.kind == "specimen" and each.name not in kept}
    return frozenset({*whole, *_telling(called), *_telling(inside)})


def _telling(names: Mapping[str, Iterable[str]]) -> Iterator[str]:
    """Words of the names of one arm and of no other."""
    words = {arm: {word for name in some for word in words_of(name)} for arm, some in names.items()}
    for arm, mine in words.items():
        others = set().union(*(theirs for other, theirs in words.items() if other != arm))
        for word in mine - others:
            mixed = any(sign.isdigit() for sign in word) and any(sign.isalpha() for sign in word)
            if (word.isalpha() and len(word) >= LEAST_LETTERS) or (mixed and len(word) > 2):
                yield word


@dataclass(frozen=True)
class _Text:
    """The experiment text under other names. What is not named here is not in it: nothing new leaks."""

    open: Experiment
    arms: Mapping[str, str]
    units: Mapping[str, str]
    letters: Mapping[str, str]
    specimens: Mapping[str, str]
    hush: Hush

    def experiment(self, reference: str | None) -> Experiment:
        one = self.open
        order = {name: place for place, name in enumerate(self.units)}
        units = sorted(one.units, key=lambda unit: order[unit.name])
        last = len(order)
        specimens = sorted(one.specimens, key=lambda each: order.get(each.unit, last))
        return Experiment(
            question=self.hush(one.question),
            arms=tuple(Arm(name=alias, control=name == reference) for name, alias in self.arms.items()),
            units=tuple(self._unit(unit) for unit in units),
            specimens=tuple(
                Specimen(name=self.specimens[s.name], unit=self.units.get(s.unit), kind=s.kind)
                for s in specimens
            ),
            edges=tuple(self._edge(plan) for plan in one.edges),
            plan=one.plan,
            limits=one.limits,
            lock=one.lock,
            day=one.day,
            beamline=_what_counts(one.beamline),
            recipe=self._recipe(one.recipe),
        )

    def _unit(self, unit: Unit) -> Unit:
        pair = self.letters[unit.pair] if unit.pair else None
        name, arm = self.units[unit.name], self.arms[unit.arm]
        return Unit(name=name, arm=arm, pair=pair, batch=unit.batch and self._batch(unit.batch))

    def _batch(self, batch: str) -> str:
        """By the units in it, as "P-A+B"."""
        mine = [self.units[unit.name] for unit in self.open.units if unit.batch == batch]
        return "+".join([mine[0], *(name.partition("-")[2] for name in mine[1:])])

    def _edge(self, plan: EdgePlan) -> EdgePlan:
        feature = plan.feature and hushed_feature(plan.feature, self.hush)
        recipe = dict(plan.recipe)
        if recipe.get("divide", {}).get("reference"):
            recipe["divide"] = {**recipe["divide"], "reference": self._named(recipe["divide"]["reference"])}
        return EdgePlan(
            edge=plan.edge, feature=feature, role=plan.role, matters=plan.matters, plan=plan.plan,
            calibration=plan.calibration and self._calibration(plan.calibration), recipe=recipe,
        )  # fmt: skip

    def _calibration(self, line: Calibration) -> Calibration:
        said = {part: self.hush(getattr(line, part)) for part in ("gives", "source", "saturation")}
        return line.model_copy(update=said)

    def _recipe(self, recipe: Recipe) -> Recipe:
        if recipe.divide.reference is None:
            return recipe
        divide = recipe.divide.model_copy(update={"reference": self._named(recipe.divide.reference)})
        return recipe.model_copy(update={"divide": divide})

    def _named(self, specimen: str) -> str:
        return self.specimens.get(specimen, specimen)


def _what_counts(beamline: BeamlineProfile) -> BeamlineProfile:
    """The numbers that answers reckon with; what the place and its files are called is not among them."""
    return BeamlineProfile(incidence_deg=beamline.incidence_deg, overheads=beamline.overheads)


def hushed_feature(feature: Feature, hush: Hush) -> Feature:
    """The same feature; how the group says it without any name."""
    return feature.model_copy(update={"words": hush(feature.words)})
