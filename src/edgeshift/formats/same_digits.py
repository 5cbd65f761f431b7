"""Two files that should say the same: equal to the last bit, equal as printed, or where they differ.

Another machine or another version of a library may change the last bits of a number, and nothing that people
read. So words must be equal to the letter and numbers to DIGITS figures, those of one list on its own scale.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import Any

from edgeshift.errors import Refusal
from edgeshift.formats import nexus
from edgeshift.records.proof import Difference

DIGITS = 4
PIXELS = 0.25
"""A line of a picture may lie so far from where it lay (our choice, no source): nobody sees it."""
TINY = 1e-12
NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
TAG = re.compile(r"(<[^>]*>)")
MISSING = "nothing"
LONGEST = 60


def differences(file: str, packed: bytes, found: bytes, but_for: Sequence[str] = ()) -> Iterator[Difference]:
    """Where what is `found` says anything else than what was `packed`; none where it is equal as printed.

    `but_for` are keys of JSON that need not agree: those that name the version itself.
    """
    ending = file.rpartition(".")[2].lower()
    if packed == found:
        return
    if ending == "json":
        yield from _in_json(file, packed, found, but_for)
    elif ending == "nxs":
        yield from _in_tables(file, packed, found)
    elif ending == "svg":
        yield from _in_picture(file, packed, found)
    elif ending in ("xdi", "csv", "txt", "yaml", "html"):
        yield from _in_lines(file, packed, found)
    else:
        yield Difference(file, "bytes", f"{len(packed)} bytes", f"{len(found)} other bytes")


def agree(packed: float, found: float, scale: float = 0.0) -> bool:
    """Whether two numbers have the same DIGITS figures, or differ by less than that on a given scale."""
    if not (math.isfinite(packed) and math.isfinite(found)):
        return packed == found or (math.isnan(packed) and math.isnan(found))
    size = max(abs(packed), abs(found), scale)
    return abs(packed - found) <= max(size * 10.0**-DIGITS, TINY)


def _in_json(file: str, packed: bytes, found: bytes, but_for: Sequence[str]) -> Iterator[Difference]:
    try:
        pair = json.loads(packed), json.loads(found)
    except (ValueError, RecursionError):
        yield Difference(file, "the whole", "JSON", "what cannot be read as JSON")
        return
    for where, old, new in _walk("", *pair, 0.0, but_for):
        yield Difference(file, where or "the whole", _short(old), _short(new))


def _walk(
    where: str, old: Any, new: Any, scale: float, but_for: Sequence[str]
) -> Iterator[tuple[str, Any, Any]]:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in dict.fromkeys((*old, *new)):
            if key not in but_for:
                yield from _walk(_under(where, key), old.get(key), new.get(key), 0.0, but_for)
    elif isinstance(old, list) and isinstance(new, list):
        if len(old) != len(new):
            yield where, f"{len(old)} entries", f"{len(new)} entries"
            return
        scale = max((abs(one) for one in old if _is_number(one)), default=0.0)
        for number, (one, other) in enumerate(zip(old, new, strict=True)):
            yield from _walk(f"{where}[{_name(one, number)}]", one, other, scale, but_for)
    elif _is_number(old) and _is_number(new):
        if not agree(old, new, scale):
            yield where, old, new
    elif old != new:
        yield where, old, new


def _under(where: str, key: str) -> str:
    return f"{where}.{key}" if where else key


def _name(one: Any, number: int) -> str:
    """An answer by its edge, everything else by its place."""
    named = one.get("edge") if isinstance(one, dict) and "question" in one else None
    return named or str(number)


def _is_number(one: Any) -> bool:
    return isinstance(one, int | float) and not isinstance(one, bool)


def _in_lines(file: str, packed: bytes, found: bytes) -> Iterator[Difference]:
    old, new = (data.decode("utf-8", errors="replace").splitlines() for data in (packed, found))
    scales = _scales(old)
    for number, (one, other) in enumerate(zip_longest(old, new), 1):
        if one is None or other is None or not _same_words(one, other, scales):
            yield Difference(file, f"line {number}", _short(one), _short(other))


def _scales(lines: Sequence[str]) -> list[float]:
    """How large the numbers of each column become in rows that hold nothing but numbers."""
    sizes: list[float] = []
    for line in lines:
        cells = re.split(r"[,\s]+", line.strip())
        if all(NUMBER.fullmatch(cell) for cell in cells if cell):
            values = [abs(float(cell)) if cell else 0.0 for cell in cells]
            sizes = [max(pair) for pair in zip_longest(sizes, values, fillvalue=0.0)]
    return sizes


def _same_words(old: str, new: str, scales: Sequence[float] = (), nearby: float = 0.0) -> bool:
    """The same words, with numbers that agree; `nearby` is how far these may lie apart in any case."""
    if old == new:
        return True
    if NUMBER.sub("#", old) != NUMBER.sub("#", new):
        return False
    pairs = list(zip(NUMBER.findall(old), NUMBER.findall(new), strict=True))
    scaled = scales if len(scales) == len(pairs) else [0.0] * len(pairs)
    return all(
        abs(float(one) - float(other)) <= nearby or agree(float(one), float(other), scale)
        for (one, other), scale in zip(pairs, scaled, strict=True)
    )


def _in_picture(file: str, packed: bytes, found: bytes) -> Iterator[Difference]:
    """What is written in it to the letter, where its lines lie to a part of a pixel."""
    old, new = (TAG.split(data.decode("utf-8", errors="replace")) for data in (packed, found))
    if len(old) != len(new):
        yield Difference(file, "marks", f"{len(old) // 2} marks", f"{len(new) // 2} marks")
        return
    for number, (one, other) in enumerate(zip(old, new, strict=True)):
        is_tag = number % 2 == 1
        if one != other and not (is_tag and _same_words(one, other, nearby=PIXELS)):
            yield Difference(file, f"mark {number // 2}", _short(one), _short(other))


def _in_tables(file: str, packed: bytes, found: bytes) -> Iterator[Difference]:
    try:
        old, new = nexus.read(file, packed), nexus.read(file, found)
    except Refusal as refusal:
        yield Difference(file, "the whole", refusal.needed, refusal.found)
        return
    for one, other in zip_longest(old, new):
        if one is None or other is None or one.entry != other.entry:
            yield Difference(
                file, "entries", one.entry if one else MISSING, other.entry if other else MISSING
            )
            return
        if dict(one.header) != dict(other.header):
            yield Difference(file, one.entry, "its header", "another header")
        for column in one.columns:
            same = other.column(column.name)
            if same is None or same.unit != column.unit or not _same_column(column.values, same.values):
                yield Difference(file, f"{one.entry}, {column.name}", "its numbers", "other numbers")


def _same_column(old: Any, new: Any) -> bool:
    if len(old) != len(new):
        return False
    scale = max(map(abs, old.tolist()), default=0.0)
    return all(agree(one, other, scale) for one, other in zip(old.tolist(), new.tolist(), strict=True))


def _short(thing: Any) -> str:
    if thing is None:
        return MISSING
    text = thing if isinstance(thing, str) else json.dumps(thing, ensure_ascii=False)
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}…"
