"""The one map from keys to names. Every sentence holds tokens; they become names here, last."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

TOKEN = re.compile(r"\{(arm|unit|specimen|spot|scan|edge):([^{}]*)\}")

HOW_TO_PLACE = (
    "Say it for all in experiment.yaml, as beamline: {place: {file_name: '(?P<specimen>[^_]+)_'}}. "
    "For one scan: edgeshift note FOLDER place SCAN SPECIMEN --reason WHY."
)
"""How a scan gets its specimen."""
NO_PLACES = f"No scan belongs to any of the specimens that experiment.yaml names. {HOW_TO_PLACE}"

NUMBERS = {float, int, bool, type(None)}


@dataclass(frozen=True)
class Naming:
    """What each key is called. A key without a name of its own is called by its key."""

    names: Mapping[tuple[str, str], str] = field(default_factory=dict)

    def __call__(self, text: str) -> str:
        """The text with every token turned into its name."""
        return TOKEN.sub(lambda m: self.names.get((m[1], m[2]), m[2]), text)


def open_naming(experiment) -> Naming:
    """The naming with the curtain open: arms by the group's own words, all else by its key."""
    return Naming({("arm", arm.name): arm.words or arm.name for arm in experiment.arms})


def render(text: str, naming: Naming) -> str:
    """The text with names in it."""
    return naming(text)


def named(thing, naming: Naming):
    """Names in every text of a nested structure of mappings, lists and texts; numbers pass through."""
    if isinstance(thing, str):
        return naming(thing)
    if isinstance(thing, Mapping):
        return {
            naming(key) if isinstance(key, str) else key: named(value, naming) for key, value in thing.items()
        }
    if isinstance(thing, (list, tuple)):
        return list(thing) if set(map(type, thing)) <= NUMBERS else [named(each, naming) for each in thing]
    return thing


def scan_words(key: str) -> str:
    """A scan by its number, as "scan 17" for scan-017."""
    number = key.removeprefix("scan-")
    return f"scan {int(number)}" if number.isdecimal() else key
