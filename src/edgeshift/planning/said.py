"""What was typed, read: each reader turns text into a value, or raises TextRefused with what was needed.

A reader of an answer that may stay away gives None for a blank one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from edgeshift.errors import TextRefused
from edgeshift.recipe.experiment import WINDOWS_OF
from edgeshift.wording.element_names import NAMES
from edgeshift.wording.interview import NOTHING, SAY_AGAIN

Read = Callable[[str], Any]
Groups = tuple[tuple[str, ...], ...]
NONE = "none"
MOST = 1000
"""Spots, scans and units beyond this are a slip of the finger."""


def some_words(text: str) -> str:
    """A few words."""
    if not text.split():
        raise unclear("a few words", text)
    return " ".join(text.split())


def names(least: int) -> Read:
    """So many names or more, each once, with commas between."""

    def read(text: str) -> tuple[str, ...]:
        found = tuple(part.strip() for part in text.split(",") if part.strip())
        if len(found) < least:
            raise unclear(f"at least {least}, with commas between", text)
        if len(set(found)) < len(found):
            raise unclear("every name once", text)
        if any(letter in "{}" or ord(letter) < 32 for letter in text):
            raise unclear("names without braces", text)
        return found

    return read


def new_names(taken: Sequence[str], most: int = MOST) -> Read:
    """Names that nothing else has; () for none."""

    def read(text: str) -> tuple[str, ...] | None:
        found = () if text.strip().lower() == NONE else names(0)(text)
        twice = [name for name in found if name in taken]
        if twice:
            raise unclear("a name that no specimen has", twice[0])
        if len(found) > most:
            raise unclear("one name", text)
        return found

    return read


def one_of(choices: Sequence[str], none: bool = False) -> Read:
    """One of these as it stands; with `none` also none at all, as None."""

    def read(text: str) -> str | None:
        said = text.strip()
        if said in choices:
            return said
        if none and said.lower() == NONE:
            return None
        raise unclear(" or ".join(choices), text)

    return read


def word(choices: Sequence[str]) -> Read:
    """The one of these words that is said, in whatever case and company, as 'in turn'."""

    def read(text: str) -> str:
        told = set(re.findall(r"[a-z]+", text.lower()))
        found = [each for each in choices if each in told]
        if len(found) != 1:
            raise unclear(" or ".join(choices), text)
        return found[0]

    return read


def yes_or_no(text: str) -> bool:
    """yes or no; y and n will do."""
    short = {"y": "yes", "n": "no"}
    return word(("yes", "no"))(short.get(text.strip().lower(), text)) == "yes"


def maybe(read: Read) -> Read:
    """None for a blank answer, else as read."""
    return lambda text: read(text) if text.strip() else None


def groups(members: Sequence[str]) -> Read:
    """Who is together: () for none, ((all),) for all, or as A+B, C+D. None where nothing was said.

    A row of names with commas alone could mean either, so it is asked again.
    """

    def read(text: str) -> Groups | None:
        said = text.strip()
        if said.lower() in ("", NONE, "no"):
            return None if not said else ()
        if said.lower() == "all":
            return (tuple(members),)
        if "+" not in said:
            raise unclear("none, all, or who was together as A+B", text)
        found = tuple(tuple(name.strip() for name in part.split("+")) for part in said.split(","))
        everybody = [name for group in found for name in group]
        strange = next((name for name in everybody if name not in members), None)
        if strange is not None:
            raise unclear(f"none, all, or names out of {', '.join(members)} as A+B", strange)
        if len(set(everybody)) < len(everybody):
            raise unclear("every name once", text)
        return tuple(group for group in found if len(group) > 1)

    return read


def some_of(choices: Sequence[str]) -> Read:
    """Some of these, with commas between; () for none, None where nothing was said."""

    def read(text: str) -> tuple[str, ...] | None:
        if text.strip().lower() in ("", NONE):
            return None if not text.strip() else ()
        found = names(1)(text.lower())
        for each in found:
            one_of(choices)(each)
        return found

    return read


def elements(text: str) -> tuple[str, ...]:
    """Symbols of elements, said as symbols or names; () for none."""
    found = () if text.strip().lower() == NONE else names(0)(text)
    read = tuple(map(_symbol, found))
    if "" in read:
        raise unclear("elements as K, C or potassium", found[read.index("")])
    return read


def _symbol(said: str) -> str:
    """The symbol of an element said by symbol or name; CO is no cobalt. "" for what is none."""
    if said in NAMES:
        return said
    named = {name: symbol for symbol, name in NAMES.items()}
    return named.get(said.lower(), said.capitalize() if said.islower() and said.capitalize() in NAMES else "")


def edge(text: str) -> str:
    """One edge, as Al K."""
    element, _, shell = text.strip().partition(" ")
    if not _symbol(element) or not re.fullmatch(r"K|L[123]?|M[45]?", shell.strip().upper()):
        raise unclear("edges as Al K or Fe L", text)
    return f"{_symbol(element)} {shell.strip().upper()}"


def edges(text: str) -> tuple[str, ...]:
    """Edges with commas between, one at least."""
    return tuple(map(edge, names(1)(text)))


def other_edge(asked: Sequence[str]) -> Read:
    """The edge that should stay, "" for none: not the only one that is asked about."""

    def read(text: str) -> str:
        if text.strip().lower() in ("", NONE):
            return ""
        said = edge(text)
        if [said] == list(asked):
            raise unclear("an edge beside the one that you ask about", said)
        return said

    return read


def feature(text: str) -> dict[str, Any] | None:
    """A kind and its windows, as ratio 1566-1567 1568-1569; None for the whole curve."""
    if not text.strip():
        return None
    kind, *windows = text.replace(",", " ").split()
    pairs = [re.fullmatch(r"(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?)", window) for window in windows]
    one_of(tuple(WINDOWS_OF))(kind)
    if len(pairs) != WINDOWS_OF[kind] or not all(pairs):
        raise unclear("two windows for a ratio, else one, each as 1566-1567", text)
    return {"kind": kind, "windows": [[float(end) for end in pair.groups()] for pair in pairs]}


def amount(text: str) -> float | None:
    """A number above nothing; None where nothing was said."""
    if not text.strip():
        return None
    said = text.strip().replace(",", ".")
    if not re.fullmatch(r"\d*\.?\d+", said) or float(said) == 0:
        raise unclear("a number above 0, as 0.05", text)
    return float(said)


def count(least: int, most: int = MOST) -> Read:
    """A whole number; None where nothing was said."""

    def read(text: str) -> int | None:
        if not text.strip():
            return None
        said = text.strip()
        if not (said.isascii() and said.isdecimal() and len(said) < 5 and least <= int(said) <= most):
            raise unclear(f"a whole number from {least} to {most}", text)
        return int(said)

    return read


def unclear(needed: str, found: str) -> TextRefused:
    """The refusal of one answer."""
    shown = repr(found.strip()) if found.strip() else NOTHING
    return TextRefused("the answer", needed, shown, SAY_AGAIN)
