"""Facts that several formats keep in their headers under names of their own: spacing, edge, times."""

from __future__ import annotations

import re

from edgeshift.formats.elements import EDGES, SYMBOLS
from edgeshift.records.table import RawTable

SPACING_KEY = re.compile(r"(?:.*[. ])?d[_ \-]?spacing(?:\s*\(.*\))?\Z")
SPACING_TEXT = re.compile(r"(?<![\w])d\s*=\s*(\d+\.\d+)\s*(?:a\b|å|angstrom)", re.IGNORECASE)
ELEMENT_KEYS = ("element.symbol", "scanparameters.element", "element")
EDGE_KEYS = ("element.edge", "edge.name", "scanparameters.edge", "edge")
START_KEYS = ("scan.start_time", "start_time")
END_KEYS = ("scan.end_time", "end_time")
SPECIMEN_KEYS = ("sample.name",)
LEAST_SPACING, MOST_SPACING = 0.5, 30.0
"""Å; crystals lie between these."""


def d_spacing_angstrom(table: RawTable) -> float | None:
    """The crystal spacing that the header gives, in Å; None where it gives none that is possible."""
    said = [
        value.split()[0] for key, value in table.header.items() if SPACING_KEY.match(key) and value.split()
    ]
    pairs = (f"{key} = {value}" for key, value in table.header.items())  # 'Si(111) d = 3.1 A' is a pair
    for text in (*pairs, *table.header.values(), *table.remarks):
        said += SPACING_TEXT.findall(text)
    for word in said:
        if re.fullmatch(r"\d+(?:\.\d*)?", word) and LEAST_SPACING < float(word) < MOST_SPACING:
            return float(word)
    return None


def element(table: RawTable) -> str | None:
    """The element's symbol that the header names, as 'Fe', or None."""
    words = (table.header.get(key, "").strip() for key in ELEMENT_KEYS)
    return next((word.capitalize() for word in words if word.lower() in SYMBOLS), None)


def edge_name(table: RawTable) -> str | None:
    """The edge that the header names, as 'Fe K', or None."""
    symbol, edge = element(table), shell(table)
    return f"{symbol} {edge}" if symbol and edge else None


def shell(table: RawTable) -> str | None:
    """The shell of the edge that the header names, as 'K', or None."""
    words = (table.header.get(key, "").strip() for key in EDGE_KEYS)
    return next((word.upper() for word in words if word.lower() in EDGES), None)


def first_key(table: RawTable, keys: tuple[str, ...]) -> str | None:
    """The first of some header keys that the table has with a value, or None."""
    return next((key for key in keys if table.header.get(key)), None)
