"""The short interview before a shift: plain questions in, an experiment text with comments out."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from os.path import commonprefix
from typing import Any

from edgeshift.errors import TextRefused
from edgeshift.recipe.experiment import WINDOWS_OF

Read = Callable[[str], Any]


@dataclass(frozen=True)
class Question:
    """One question: the key an answers file uses, the words, and `read`, which raises TextRefused."""

    key: str
    words: str
    read: Read


Ask = Callable[[Question], str]


@dataclass(frozen=True)
class Group:
    """A unit as it was said: its name, its arm, its pair and its specimens."""

    name: str
    arm: str
    pair: str | None
    specimens: tuple[str, ...]


def interview(ask: Ask) -> str:
    """Ask about the comparison and return the experiment text. TextRefused for an answer without sense."""

    def put(key: str, words: str, read: Read) -> Any:
        question = Question(key, words, read)
        return read(ask(question))

    sentence = put("question", "What do you want to know? Say it with 'than' in it.", _words(1))
    arms = put("arms", "Which arms do you compare? As: raw, fired", _list(2))
    control = put("control", f"Which arm is the control ({', '.join(arms)})?", _one_of(arms))
    said = {arm: put(f"units of {arm}", _UNITS.format(arm=arm), _list(1)) for arm in arms}
    paired = put("pairs", _PAIRS, _yes_or_no) if len({len(units) for units in said.values()}) == 1 else False
    groups = [
        Group(name, arm, pair, put(f"specimens of {name}", _SPECIMENS.format(unit=name), _list(0)) or (name,))
        for name, arm, pair in _units(said, paired)
    ]
    edges = put("edges", "Which edges will you measure? As: Al K, Fe L", _edges)
    features = {edge: put(f"feature of {edge}", _FEATURE.format(edge=edge), _feature) for edge in edges}
    return _text(sentence, [(arm, arm == control) for arm in arms], groups, features)


_UNITS = (
    "Which units of '{arm}' got their treatment each on its own? Three pots from one fire are one unit."
    " As: A, B, C"
)
_PAIRS = (
    "Were things split before treating, so that the first units of all arms come from one thing, and so on?"
    " yes or no"
)
_SPECIMENS = (
    "Which specimens of '{unit}' will be mounted, as named in the files? Blank: one, named like the unit."
)
_FEATURE = (
    "Which one number will you compare at {edge}? A kind (ratio, height, area, centroid, position) and its"
    " windows in eV, as: ratio 1566-1567 1568-1569. Blank: the whole curve."
)


def _words(least: int) -> Read:
    def read(text: str) -> str:
        if len(text.split()) < least:
            raise _unclear("a few words", text)
        return " ".join(text.split())

    return read


def _list(least: int) -> Read:
    def read(text: str) -> tuple[str, ...]:
        names = tuple(part.strip() for part in text.split(",") if part.strip())
        if len(names) < least:
            raise _unclear(f"at least {least}, with commas between", text)
        if len(set(names)) < len(names):
            raise _unclear("every name once", text)
        return names

    return read


def _one_of(choices: Sequence[str]) -> Read:
    def read(text: str) -> str:
        if text.strip() not in choices:
            raise _unclear(" or ".join(choices), text)
        return text.strip()

    return read


def _yes_or_no(text: str) -> bool:
    return _one_of(("yes", "no"))(text.lower()) == "yes"


def _edges(text: str) -> tuple[str, ...]:
    names = _list(1)(text)
    for name in names:
        if not re.fullmatch(r"[A-Z][a-z]? (K|L[123]?|M[45]?)", name):
            raise _unclear("edges as Al K or Fe L", name)
    return names


def _feature(text: str) -> dict[str, Any] | None:
    if not text.strip():
        return None
    kind, *windows = text.replace(",", " ").split()
    pairs = [re.fullmatch(r"(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?)", window) for window in windows]
    _one_of(tuple(WINDOWS_OF))(kind)
    if len(pairs) != WINDOWS_OF[kind] or not all(pairs):
        raise _unclear("two windows for a ratio, else one, each as 1566-1567", text)
    return {"kind": kind, "windows": [[float(end) for end in pair.groups()] for pair in pairs]}


def _unclear(needed: str, found: str) -> TextRefused:
    shown = repr(found.strip()) if found.strip() else "nothing"
    return TextRefused("the answer", needed, shown, "Say it again.")


def _units(said: dict[str, tuple[str, ...]], paired: bool) -> list[tuple[str, str, str | None]]:
    """Every unit as (name, arm, pair); a name used in two arms gets the arm's name in front."""
    everywhere = [name for names in said.values() for name in names]
    pairs = [_pair_name(row, number) for number, row in enumerate(zip(*said.values(), strict=False), 1)]
    return [
        (name if everywhere.count(name) == 1 else f"{arm}-{name}", arm, pairs[place] if paired else None)
        for arm, names in said.items()
        for place, name in enumerate(names)
    ]


def _pair_name(names: Sequence[str], number: int) -> str:
    return commonprefix(list(names)).rstrip("-_ .") or f"pair-{number}"


def _text(
    sentence: str,
    arms: list[tuple[str, bool]],
    groups: list[Group],
    features: dict[str, dict[str, Any] | None],
) -> str:
    # The smaller arm says how often there is something new to look at.
    per_arm = max(1, min(sum(group.arm == arm for group in groups) for arm, _ in arms))
    lines = [
        "# The experiment, for people to read and edit. A change counts when the folder is next opened.",
        f"question: {_said(sentence)}",
        "",
        "# What was done. The control did not get the treatment.",
        "arms:",
        *(f"  - {{name: {_said(arm)}, control: {_said(control)}}}" for arm, control in arms),
        "",
        "# The smallest things that got their treatment each on its own. A pair was split before treating.",
        "units:",
        *(_unit_line(group) for group in groups),
        "",
        "# What is mounted, named as in the files.",
        "specimens:",
        *(
            f"  - {{name: {_said(specimen)}, unit: {_said(group.name)}}}"
            for group in groups
            for specimen in group.specimens
        ),
        "",
        "# What will be asked of each edge. A feature written before measuring counts as declared before;",
        "# `matters` is the smallest difference that matters: without it, 'no change' cannot be said.",
        "edges:",
        *(line for edge, feature in features.items() for line in _edge_lines(edge, feature)),
        "",
        "# How many of what; says when a unit is complete.",
        f"plan: {{units_per_arm: {per_arm}, spots_per_unit: 1, scans_per_spot: 1}}",
        "",
        "# Which column is what. `edgeshift look FILE` prints a proposal to put in place of this line.",
        "beamline: {}",
        "",
    ]
    return "\n".join(lines)


def _unit_line(group: Group) -> str:
    pair = f", pair: {_said(group.pair)}" if group.pair else ""
    return f"  - {{name: {_said(group.name)}, arm: {_said(group.arm)}{pair}}}"


def _edge_lines(edge: str, feature: dict[str, Any] | None) -> list[str]:
    lines = [f"  - edge: {edge}"]
    if feature:
        lines.append(f"    feature: {{kind: {feature['kind']}, windows: {json.dumps(feature['windows'])}}}")
    return [*lines, "    # matters: 0.05"]


def _said(thing: object) -> str:
    """A word that YAML reads back as the same word (a JSON scalar is one)."""
    return json.dumps(thing, ensure_ascii=False)
