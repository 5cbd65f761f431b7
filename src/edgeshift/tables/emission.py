"""Emission lines: what a counter takes when it takes an element's own light."""

from __future__ import annotations

from dataclasses import dataclass

from edgeshift.tables.edges import Sourced
from edgeshift.tables.emission_values import FIRST, ROWS, SECOND

ENERGY_SOURCES = (
    f"Elam, Ravel and Sieber 2002, through {FIRST}",
    f"binding energies of the Larkins 1977 set, through {SECOND}",
)
SHARE_SOURCES = (f"Elam, Ravel and Sieber 2002, through {FIRST}", f"Scofield 1974, through {SECOND}")
MAIN = {"K": "Ka1", "L": "La1", "L3": "La1", "L2": "Lb1", "M": "Ma", "M5": "Ma", "M4": "Mb"}
"""The strongest line after each edge; where it has none, the one below it is asked for."""
WEAKER = {"La1": "Ll", "Lb1": "Ln"}


@dataclass(frozen=True)
class EmissionLine:
    """One line: energies in eV and its share of its shell's lines (0..1), as each source has them."""

    element: str
    name: str
    shell: str
    energies: tuple[Sourced, ...]
    shares: tuple[Sourced, ...]

    @property
    def middle_ev(self) -> float:
        """Halfway between the sources."""
        values = [each.value for each in self.energies]
        return 0.5 * (min(values) + max(values))


def emission_lines(element: str) -> tuple[EmissionLine, ...]:
    """Every line of an element in the table; none for an element that has none there."""
    return tuple(_line(row) for row in ROWS if row[0] == element)


def main_line(edge: str) -> EmissionLine | None:
    """The strongest line that follows an edge such as 'Al K' or 'Fe L'; None where the table has none."""
    element, _, shell = edge.partition(" ")
    by_name = {line.name: line for line in emission_lines(element)}
    wanted = MAIN.get(shell, "")
    return by_name.get(wanted) or by_name.get(WEAKER.get(wanted, ""))


def _line(row: tuple) -> EmissionLine:
    element, name, shell, *numbers = row
    energies = _sourced(numbers[:2], ENERGY_SOURCES)
    return EmissionLine(element, name, shell, energies, _sourced(numbers[2:], SHARE_SOURCES))


def _sourced(values: list[float | None], sources: tuple[str, ...]) -> tuple[Sourced, ...]:
    return tuple(Sourced(v, source) for v, source in zip(values, sources, strict=True) if v is not None)
