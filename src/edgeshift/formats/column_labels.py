"""Names and units of columns, from the many ways in which a text header may give them."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from edgeshift.formats.header_lines import MARKER, RULER, bare
from edgeshift.formats.number_rows import is_number
from edgeshift.records.table import Column

Label = tuple[str, str | None]

NUMBERED_FIELD = re.compile(r"column\.(\d+)\s*:\s*(.*)\Z", re.IGNORECASE)
NUMBERED_ITEM = re.compile(r"(\d+)\s*[).]\s+(\S.*)\Z")
ALIAS = re.compile(r"(\w+)\s*=\s*\{([^}]*)\}")
BRACKETED_UNIT = re.compile(r"(.*?\S)\s*[(\[]\s*([^()\[\]]{1,20})\s*[)\]]\Z")
SLASHED_UNIT = re.compile(r"(.*?\S)\s*[/_]\s*(k?eV|[munpf]?[sAV]|deg|degrees?|counts|cps)\Z")
REACH = 6
"""A label line stands at most so many lines above the numbers."""
UNIT_WORDS = {
    "ev", "kev", "deg", "degree", "degrees", "counts", "count", "cts", "cps", "counts/s", "hz", "s", "sec",
    "seconds", "ms", "a", "ma", "ua", "na", "pa", "fa", "v", "mv", "uv", "percent", "%", "mm", "um", "nm",
    "angstrom", "mrad", "a.u.", "arb.", "arb", "none",
}  # fmt: skip


def split_unit(label: str) -> Label:
    """A label and the unit inside it: 'Energy (eV)', 'PE/eV', 'EnergyLoss_eV'; else the unit is None."""
    bracketed = BRACKETED_UNIT.match(label)
    if bracketed and bracketed[2].strip().lower() in UNIT_WORDS:
        return bracketed[1].strip(), bracketed[2].strip()
    slashed = SLASHED_UNIT.match(label)
    if slashed:
        return slashed[1].strip(), slashed[2]
    return label, None


def name_and_unit(field: str) -> Label:
    """The value of a `Column.N` field: a name, perhaps a unit, perhaps a machine's word after '||'."""
    words = field.split("||")[0].split()
    if not words:
        return "", None
    return words[0], " ".join(words[1:]) or None


def labels_of(lines: Sequence[str], count: int, separator: str | None) -> tuple[Label, ...] | None:
    """One label for each of `count` columns, or None where no header line names them all.

    `lines` are the header lines as they stand, the last one just above the numbers.
    """
    for labels in (_from_numbered_fields(lines, count), _from_numbered_items(lines, count)):
        if labels:
            return labels
    near = [line for line in lines if not RULER.match(bare(line))][-REACH:]
    aliases = {short: name.strip() for short, name in ALIAS.findall("\n".join(map(bare, lines)))}
    for line in reversed(near):
        words = _cut(line, count, separator)
        if words and 2 * sum(is_number(word) for word in words) < len(words):
            return tuple(split_unit(aliases.get(word, word)) for word in words)
    return None


def columns_of(values: np.ndarray, labels: Sequence[Label]) -> tuple[Column, ...]:
    """Read-only columns of (rows, columns) numbers; a name that comes again gets its number added."""
    taken: set[str] = set()
    columns = []
    for index, (name, unit) in enumerate(labels):
        unique = name if name.lower() not in taken else f"{name} #{index + 1}"
        taken.add(name.lower())
        cells = np.ascontiguousarray(values[:, index])
        cells.setflags(write=False)
        columns.append(Column(unique, cells, unit))
    return tuple(columns)


def _from_numbered_fields(lines: Sequence[str], count: int) -> tuple[Label, ...] | None:
    found = {int(m[1]): name_and_unit(m[2]) for m in (NUMBERED_FIELD.match(bare(x)) for x in lines) if m}
    if not all(number in found and found[number][0] for number in range(1, count + 1)):
        return None
    return tuple(found[number] for number in range(1, count + 1))


def _from_numbered_items(lines: Sequence[str], count: int) -> tuple[Label, ...] | None:
    found = {int(m[1]): m[2].strip() for m in (NUMBERED_ITEM.match(bare(x)) for x in lines) if m}
    if sorted(found) != list(range(1, count + 1)):
        return None
    return tuple(split_unit(found[number]) for number in range(1, count + 1))


def _cut(line: str, count: int, separator: str | None) -> list[str] | None:
    """The line as exactly `count` labels, by the first way of cutting that gives so many."""
    marker = MARKER.match(line)
    rest = line[marker.end() if marker else 0 :]
    words = rest.strip()
    ways = [] if separator is None else [[cell.strip() for cell in words.split(separator)]]
    ways += [[cell.strip() for cell in re.split(r"\t+", words)], re.split(r"\s{2,}", words), words.split()]
    for cells in ways:
        if len(cells) == count and all(cells):
            return cells
    return _fixed_width(rest.rstrip(), count)


def _fixed_width(rest: str, count: int) -> list[str] | None:
    """Labels of several words, each starting at a multiple of one width."""
    for text in (rest, rest.lstrip()):
        for width in range(len(text) // count, len(text) // max(count - 1, 1) + 1):
            starts = [k * width for k in range(count)]
            if width < 4 or starts[-1] >= len(text):
                continue
            if all(text[k] != " " and (k == 0 or text[k - 1] == " ") for k in starts):
                return [text[k : k + width].strip() if k != starts[-1] else text[k:].strip() for k in starts]
    return None
