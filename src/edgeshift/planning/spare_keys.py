"""Keys of an answers file that nobody asked for: what this design does not need, and what nobody knows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from edgeshift.planning.design import Design
from edgeshift.wording.element_names import NAMES
from edgeshift.wording.interview import ASKED


def spare_keys(
    keys: Iterable[str], asked: Iterable[str], design: Design
) -> tuple[tuple[str, ...], Mapping[str, str]]:
    """The keys that another design would have been asked, and the unknown ones with the nearest asked.

    A key is known if the interview could ask it of these arms, units and edges: 'together in fierd' is not.
    "" where no key is near.
    """
    asked = tuple(asked)
    known = {*asked, *_askable(design)}
    spare = [key for key in keys if key not in asked]
    unknown = {key: nearest(key, asked) for key in spare if key not in known}
    return tuple(key for key in spare if key in known), unknown


def _askable(design: Design) -> Iterable[str]:
    blanks = {
        "arm": [arm.name for arm in design.arms],
        "unit": [*design.specimens, *(unit for arm in design.arms for unit in arm.units)],
        "edge": [each.edge for each in design.edges],
        "element": list(NAMES),
    }
    for key, _ in ASKED.values():
        blank = next((each for each in blanks if f"{{{each}}}" in key), None)
        yield from [key] if blank is None else (key.format(**{blank: name}) for name in blanks[blank])


def nearest(key: str, asked: Iterable[str]) -> str:
    """The key that may be meant, "" where none is near."""
    asked = tuple(asked)
    near = get_close_matches(key.lower(), {each.lower(): each for each in asked}, 1)
    return next((each for each in asked if near and each.lower() == near[0]), "")
