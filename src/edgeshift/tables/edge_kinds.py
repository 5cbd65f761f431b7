"""What an edge looks like when it is there: a step, a pair of lines, or a slow rise.

An empty shell with room for the electron gives lines (3d metals at L, barium and the rare earths at M); a
full or faraway one gives a step, or a rise so slow that nothing sharp stands at the table's energy. Common
practice, no source: it says what to look for, and never what was found.
"""

from __future__ import annotations

from functools import cache
from typing import Literal

from edgeshift.tables.absorption_values import WEIGHTS
from edgeshift.tables.edges import EdgeFamily, families

Kind = Literal["step", "lines", "slow"]
LINES_AT_L = range(19, 30)
LINES_AT_M = range(55, 93)
STEP_BELOW_EV, STEP_ABOVE_EV = 4.0, 8.0
"""The middle of a K edge's rise lies so far below its lowest tabulated energy, and so far above its highest,
at most (common practice, no source)."""
STEP_ABOVE_SHARE = 0.002
"""At high energies the reach above grows as this share of the energy (common practice, no source)."""


def kind_of(family: EdgeFamily) -> Kind:
    """What this edge, or pair, looks like."""
    shell, number = family.name.partition(" ")[2][0], atomic_number(family.element)
    if shell == "L":
        return "lines" if number in LINES_AT_L else "step"
    if shell == "M":
        return "lines" if number in LINES_AT_M else "slow"
    return "step"


@cache
def atomic_number(element: str) -> int:
    """1 for hydrogen."""
    return 1 + list(WEIGHTS).index(element)


def rise_reach(family: EdgeFamily) -> tuple[float, float]:
    """Where the middle of the first edge's rise may lie, eV."""
    first = family.edges[0]
    above = max(STEP_ABOVE_EV, STEP_ABOVE_SHARE * first.high_ev)
    return first.low_ev - STEP_BELOW_EV, first.high_ev + above


def families_in(low_ev: float, high_ev: float) -> tuple[EdgeFamily, ...]:
    """Every family whose first edge may show between these energies, by energy."""
    here = (
        each for each in families() if low_ev <= each.edges[0].high_ev and each.edges[0].low_ev <= high_ev
    )
    return tuple(sorted(here, key=lambda each: each.edges[0].low_ev))
