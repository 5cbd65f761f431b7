"""The three rungs as data: every scan, spot and unit a dot, one row a unit in the same order."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from edgeshift.figures.ranges import padded, snapped
from edgeshift.records.figure import ARM_ROLES, Dot, Ladder, Role, Row, Ruler, Rung
from edgeshift.wording import figures as words

RUNGS = ("scans", "spots", "units")
"""From the bottom."""


def ladder(detail: Mapping[str, Any]) -> Ladder:
    """The ladder of one answer to "real": its dots read the feature, else the height at what was found.

    Where neither is there it has neither dots nor ruler.
    """
    read = detail.get("feature") or detail.get("found")
    dots = detail.get("dots") or [] if read else []
    groups = _groups(dots, bool(detail.get("paired")))
    rungs = tuple(_rung(code, detail, groups) for code in RUNGS)
    values = [dot.value for rung in rungs for row in rung.rows for dot in row.dots]
    held = snapped(*padded(min(values), max(values), 0.05)) if values else None
    ruler = Ruler(*held, words.dots_words(read)) if held else None
    return Ladder(
        rungs, ruler, words.STAMPS[detail.get("declared", "after")], words.ladder_reading(detail), share=0.44
    )


def roles(detail: Mapping[str, Any]) -> dict[str, Role]:
    """The role of each arm by its order: the control, then the treated ones."""
    arms = [detail.get("control"), *detail.get("treated", ())]
    return dict(zip(arms, ARM_ROLES, strict=False))


def _groups(dots: list[Mapping[str, Any]], paired: bool) -> list[tuple[str, list[Mapping[str, Any]]]]:
    """Units by row: a pair shares its row, an unpaired unit has its own."""
    rows: dict[str, list[Mapping[str, Any]]] = {}
    for unit in dots:
        pair = unit.get("pair") if paired else None
        rows.setdefault(f"pair {pair}" if pair else f"unit {unit['arm']} {unit['unit']}", []).append(unit)
    return [(_row_name(units, paired), units) for units in rows.values()]


def _row_name(units: list[Mapping[str, Any]], paired: bool) -> str:
    first = units[0]
    return str(first["pair"]) if paired and first.get("pair") else words.unit(first["unit"])


def _rung(code: str, detail: Mapping[str, Any], groups: list) -> Rung:
    state = (detail.get("rungs") or {}).get(code, "cannot-test")
    arms = roles(detail)
    rows = () if state == "cannot-test" else tuple(
        Row(name, tuple(dot for unit in units for dot in _dots(code, unit, arms))) for name, units in groups
    )  # fmt: skip
    told, top = words.rung_words(code, state, detail), code == "units"
    joined = top and bool(detail.get("paired"))
    return Rung(code, words.RUNG_TITLES[code], state, told, rows, joined, named=top)


def _dots(code: str, unit: Mapping[str, Any], arms: Mapping[str, Role]) -> list[Dot]:
    """The dots of one unit on one rung: its own value, its spots', or its scans'."""
    role = arms.get(unit["arm"], "fourth")
    name = words.unit(unit["unit"])
    if code == "units":
        found = [(unit.get("value"), name)]
    else:
        spots = [(spot, f"{name}, spot {words.spot(spot['spot'])}") for spot in unit.get("spots") or ()]
        found = [(spot.get("value"), what) for spot, what in spots]
        if code == "scans":
            found = [(value, what) for spot, what in spots for value in spot.get("scans") or ()]
    return [Dot(float(v), role, what) for v, what in found if v is not None and math.isfinite(v)]
