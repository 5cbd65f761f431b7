"""What a checker of records found wrong in a text, in the words and places of whoever wrote the text."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from pydantic import BaseModel

BOUNDS = {
    "greater_than": ("gt", "a number above"),
    "greater_than_equal": ("ge", "a number not below"),
    "less_than": ("lt", "a number below"),
    "less_than_equal": ("le", "a number not above"),
}
KINDS = (
    ("int_", "a whole number"),
    ("float_", "a number"),
    ("finite_", "a number"),
    ("bool_", "true or false"),
    ("tuple_", "a list, as [a, b]"),
    ("list_", "a list, as [a, b]"),
    ("dict_", "'field: value' pairs"),
    ("model_", "'field: value' pairs"),
    ("string_type", "a word"),
    ("string_pattern", "plain words without braces"),
    ("too_short", "more of them"),
    ("too_long", "fewer of them"),
    ("missing", "more of them"),
    ("unexpected", "fewer of them"),
)
"""Beginnings of the checker's names for a fault, and what was needed instead."""
PATTERNS = {
    "edge": "an edge as 'Al K'",
    "ends": "a day, a time and its zone, as 2026-03-14T20:00:00+01:00",
}
"""Fields that are typed in one way, and how."""
LONGEST = 40
"""Characters of a value that are shown."""


class Fault(NamedTuple):
    """One fault: its line, where in the text, what was needed, what was found, what to do."""

    line: int
    place: str
    needed: str
    found: str
    act: str = "Mend it."


def fault_of(error: Mapping[str, Any], model: type[BaseModel], line: int = 1) -> Fault:
    """The fault that one error of the checker of `model` tells of."""
    loc, kind = error["loc"], error["type"]
    if kind == "extra_forbidden":
        act = _where_it_lives(model, loc)
        return Fault(line, place_of(loc[:-1]), "a field that is known here", f"'{loc[-1]}'", act)
    if kind == "missing" and isinstance(loc[-1], str):
        return Fault(line, place_of(loc[:-1]), f"the field '{loc[-1]}'", "none", "Add it.")
    if kind == "value_error":
        words = error["msg"].removeprefix("Value error, ")
        words = re.sub(r"\b(\d+) window\(s\)", lambda m: f"{m[1]} window{'s' * (m[1] != '1')}", words)
        return Fault(line, place_of(loc), "a text without contradictions", f"this: {words}")
    return Fault(line, place_of(loc), _needed(error), _found(error.get("input")), _act(error))


def place_of(loc: tuple) -> str:
    """A path of names and numbers as a person says it: 'edge 1, feature, window 2'."""
    parts: list[str] = []
    for part in loc:
        if not isinstance(part, int):
            parts.append(str(part))
        elif parts and parts[-1].endswith("s"):
            parts[-1] = f"{parts[-1].removesuffix('s')} {part + 1}"
        else:
            parts.append(f"number {part + 1}")
    return ", ".join(parts)


def _needed(error: Mapping[str, Any]) -> str:
    kind, context = error["type"], error.get("ctx", {})
    if kind in BOUNDS:
        key, words = BOUNDS[kind]
        return f"{words} {context[key]:g}"
    if kind == "literal_error":
        return context["expected"]
    if kind == "string_pattern_mismatch" and error["loc"][-1] in PATTERNS:
        return PATTERNS[error["loc"][-1]]
    words = next((words for start, words in KINDS if kind.startswith(start)), "")
    return words or error["msg"].removeprefix("Input should be ").lower()


def _found(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, str | int | float):
        shown = str(value).lower() if isinstance(value, bool) else str(value)
        return f"'{shown[:LONGEST]}'"
    return "'field: value' pairs" if isinstance(value, Mapping) else f"a list of {len(value)}"


def _act(error: Mapping[str, Any]) -> str:
    value = error.get("input")
    if error["type"] == "string_type" and isinstance(value, str | int | float):
        return f'Write it in quotes: "{_found(value)[1:-1]}".'
    return "Mend it."


def _where_it_lives(model: type[BaseModel], loc: tuple) -> str:
    """A near name at this place, else the places that have a field of this very name."""
    word = str(loc[-1])
    near = difflib.get_close_matches(word, _model_at(model, loc[:-1]).model_fields, n=1)
    if near:
        return f"Did you mean '{near[0]}'?"
    every = [path for path in _paths(model, ()) if path[-1] == word and len(path) > 1]
    homes = sorted(every, key=len)  # the whole experiment's before that of one edge
    here = [path for path in homes if path[0] == loc[0]] or homes
    return f"It belongs under {', '.join(here[0][:-1])}." if here else "Take it out."


def _model_at(model: type[BaseModel], loc: tuple) -> type[BaseModel]:
    """The record that a path of names and numbers leads to."""
    for part in loc:
        field = model.model_fields.get(part) if isinstance(part, str) else None
        model = (_model_in(field.annotation) if field else None) or model
    return model


def _paths(model: type[BaseModel], above: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """The path of every field below a record; records hold no record of their own kind."""
    for name, field in model.model_fields.items():
        yield (*above, name)
        inner = _model_in(field.annotation)
        if inner is not None:
            yield from _paths(inner, (*above, name))


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The record inside an annotation such as `tuple[Arm, ...]` or `EnergyColumn | None`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in getattr(annotation, "__args__", ()) if (found := _model_in(part))), None)
