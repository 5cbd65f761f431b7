"""Names are given last: one pass over a figure, before anything is measured or drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from edgeshift.records.figure import Figure

Names = Callable[[str], str]
"""Any text with tokens into the same text with names: a `wording.names.Naming`, or like it."""


def name_figure(figure: Figure, naming: Names) -> Figure:
    """The same figure with `naming` applied to every string in it, the alternative text included."""
    return _named(figure, naming)


def _named(part: Any, naming: Names) -> Any:
    if isinstance(part, str):
        return naming(part)
    if isinstance(part, tuple):
        numbers = bool(part) and isinstance(part[0], float)
        return part if numbers else tuple(_named(one, naming) for one in part)
    if is_dataclass(part):
        inside = {f.name: _named(getattr(part, f.name), naming) for f in fields(part)}
        return replace(part, **inside)
    return part
