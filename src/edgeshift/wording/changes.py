"""What differs between two experiment texts, one short sentence for each change.

Sentences hold tokens for arms, units, specimens and edges, as all others do; pairs, batches and people's own
words stand as typed, so guests do not read them while the curtain is drawn.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from edgeshift.recipe.experiment import EdgePlan, Experiment
from edgeshift.recipe.knobs import Recipe, Section
from edgeshift.wording.numbers import plain

UNITS = {"ev": "eV", "mbar": "mbar", "min": "min", "s": "s", "deg": "degrees", "mm2": "mm²"}
"""Endings of field names that are units."""
NO_UNITS = frozenset(("choice", "name", "power"))
"""What knobs say of themselves where there is no unit."""
LONGEST = 60
"""Letters of a value that a sentence shows."""
COMMON = "the common value"
"""What an edge goes by where nothing is typed for it alone."""
SETS = {
    "arms": ("arm", "Arm {{arm:{}}}"),
    "units": ("unit", "Unit {{unit:{}}}"),
    "specimens": ("specimen", "Specimen {{specimen:{}}}"),
    "edges": ("edge", "{{edge:{}}}"),
}
"""Fields that hold a set of named things: what one of them is, and how a sentence begins about it."""
WORD = re.compile(r"[\w-]+")
"""What needs no marks around it to be seen as one value."""
TOKENS = {"arm": "arm", "unit": "unit"}
"""Fields whose value is the name of another thing."""


def difference_in_words(old: Experiment, new: Experiment) -> tuple[str, ...]:
    """Every change from one experiment to the other, as "Flag, spike sigmas: 6 became 5 standard
    deviations."; none where both say the same."""
    return tuple(_changes(old, new))


def _changes(old: Experiment, new: Experiment) -> Iterator[str]:
    for name in Experiment.model_fields:
        one, two = getattr(old, name), getattr(new, name)
        if name in SETS:
            yield from _sets(name, one, two)
        elif name == "recipe":
            yield from _sections("", one, two)
        elif isinstance(one, BaseModel):
            yield from _sections(name.capitalize(), one, two)
        elif one != two:
            yield _became(name.capitalize(), one, two)


def _sets(name: str, old: tuple, new: tuple) -> Iterator[str]:
    kind, begins = SETS[name]
    before, after = ({_key(each): each for each in things} for things in (old, new))
    yield from (f"{begins.format(key)} was taken out." for key in before if key not in after)
    yield from (f"{begins.format(key)} was added." for key in after if key not in before)
    shared = [key for key in before if key in after]
    for key in shared:
        yield from _thing(begins.format(key), before[key], after[key])
    if shared != [key for key in after if key in before]:
        yield f"The {kind}s stand in another order."


def _key(thing: Section) -> str:
    return thing.edge if isinstance(thing, EdgePlan) else thing.name


def _thing(begins: str, old: Section, new: Section) -> Iterator[str]:
    """The changes of one named thing; an edge may have numbers of its own where others have the common."""
    if not isinstance(old, EdgePlan):
        yield from _sections(begins, old, new)
        return
    for name in ("role", "matters", "feature"):
        one, two = getattr(old, name), getattr(new, name)
        if one != two:
            yield _became(f"{begins}, {name}", one, two)
    yield from _typed(
        begins, old.plan.model_dump(exclude_unset=True), new.plan.model_dump(exclude_unset=True)
    )
    yield from _typed(begins, _knobs(old.recipe), _knobs(new.recipe))


def _knobs(recipe: Mapping[str, Any]) -> dict[str, Any]:
    typed = Recipe.model_validate(recipe)
    return {
        f"{section}.{name}": getattr(getattr(typed, section), name)
        for section in typed.model_fields_set
        for name in getattr(typed, section).model_fields_set
    }


def _typed(begins: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    for name in dict.fromkeys([*old, *new]):
        one, two = (side.get(name) if name in side else COMMON for side in (old, new))
        if one != two or (name in old) != (name in new):
            section, _, field = name.rpartition(".")
            about = (
                f"{begins}, {_words(section)}, {_words(field)}" if section else f"{begins}, {_words(field)}"
            )
            yield _became(about, one, two, _unit(field, getattr(Recipe(), section) if section else None))


def _sections(begins: str, old: Section, new: Section) -> Iterator[str]:
    """The changes of every field below a record, depth first."""
    for name in type(new).model_fields:
        one, two = getattr(old, name), getattr(new, name)
        about = f"{begins}, {_words(name)}" if begins else _words(name).capitalize()
        if isinstance(one, Section) and isinstance(two, Section) and type(one) is type(two):
            yield from _sections(about, one, two)
        elif one != two:
            token = TOKENS.get(name) if begins.startswith(("Unit", "Specimen")) else None
            yield _became(about, one, two, _unit(name, new), token)


def _became(about: str, old: Any, new: Any, unit: str = "", token: str | None = None) -> str:
    one, two = (f"{{{token}:{side}}}" if token and side else _value(side) for side in (old, new))
    if one == two:
        return f"{about} was changed."
    return f"{about}: {one} became {two}{f' {unit}' if unit else ''}."


def _words(name: str) -> str:
    start, _, end = name.rpartition("_")
    return (start if start and end in UNITS else name).replace("_", " ")


def _unit(name: str, section: Section | None) -> str:
    """The unit of a field: a knob's own, else the end of its name."""
    field = type(section).model_fields.get(name) if section is not None else None
    extra = field.json_schema_extra if field is not None else None
    unit = extra.get("unit", "") if isinstance(extra, dict) else UNITS.get(name.rpartition("_")[2], "")
    return "" if unit in NO_UNITS else unit


def _value(value: Any) -> str:
    if value is None or value in ("", ()):
        return "nothing"
    if value is COMMON:
        return COMMON
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return plain(value)
    if isinstance(value, Section):
        return "; ".join(f"{_words(name)} {_value(each)}" for name, each in value if each not in ("", None))
    if isinstance(value, tuple):
        pair = len(value) == 2 and all(isinstance(each, int | float) for each in value)
        return _shortened(("-" if pair else " and ").join(map(_value, value)))
    text = _shortened(str(value))
    return text if WORD.fullmatch(text) else f'"{text}"'


def _shortened(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1].rstrip()}…"
