"""How strongly matter takes up light, by three sets of tables that are told apart and never averaged.

None of them holds near-edge structure, so none may be compared with a white line. Beside N, O and F K, and
wherever their edges lie apart, they disagree by more than their own claims: then the energy is disputed,
and every number taken there says so.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

from edgeshift.errors import TextRefused
from edgeshift.tables.absorption_values import SETS, TABLE, WEIGHTS
from edgeshift.tables.edges import Sourced, edge_named, edges_between
from edgeshift.tables.formulas import atoms_of

BELOW, ABOVE, JUST_ABOVE, FLOOR = 0.95, 1.05, 1.03, 0.90
"""A step is read at these shares of its edge's energy: clear of the edge in every set. FLOOR is where the
slope below it is taken from (common practice, no source)."""
USUAL_POWER = 2.7
"""How attenuation falls with energy between edges, where another edge hides it (common practice)."""
BESIDE_EV = 2.0
"""So near to an edge that sources place differently an energy is disputed too."""


@dataclass(frozen=True)
class Spread:
    """One quantity as each set has it, and the edges that make its energy disputed, if any."""

    values: tuple[Sourced, ...]
    disputed: tuple[str, ...] = ()

    @property
    def low(self) -> float:
        """The smallest."""
        return min(each.value for each in self.values)

    @property
    def high(self) -> float:
        """The largest."""
        return max(each.value for each in self.values)

    @property
    def middle(self) -> float:
        """Halfway between the smallest and the largest: no set is preferred."""
        return 0.5 * (self.low + self.high)

    @property
    def half(self) -> float:
        """Half of what lies between them."""
        return 0.5 * (self.high - self.low)


def atomic_weight(element: str) -> float:
    """Grams per mole. Raises TextRefused for what is no element up to uranium."""
    if element not in WEIGHTS:
        raise TextRefused("element", "a symbol from H to U", f"'{element}'", "Correct the symbol.")
    return WEIGHTS[element]


def composition(formula: str) -> dict[str, float]:
    """Shares by mass of a formula such as 'Al2Si2O5(OH)4'. Raises TextRefused where it is none."""
    counts = atoms_of(formula)
    total = sum(number * atomic_weight(element) for element, number in counts.items())
    return {element: number * atomic_weight(element) / total for element, number in counts.items()}


def mass_attenuation(shares: Mapping[str, float], energy_ev: float) -> Spread:
    """cm² per g of elements in these shares by mass, by each set, at an energy inside the table."""
    each = [
        sum(share * _of_element(element, energy_ev, column) for element, share in shares.items())
        for column in range(len(SETS))
    ]
    return Spread(_by_set(each), disputed(shares, energy_ev))


def attenuation_length_um(shares: Mapping[str, float], g_per_cm3: float, energy_ev: float) -> Spread:
    """Depth in µm at which 1/e of the light is left at normal incidence, by each set."""
    found = mass_attenuation(shares, energy_ev)
    lengths = [1e4 / (each.value * g_per_cm3) for each in found.values]
    return Spread(_by_set(lengths), found.disputed)


def disputed(shares: Mapping[str, float], energy_ev: float) -> tuple[str, ...]:
    """Edges of these elements that the sources place on both sides of this energy, or right beside it."""
    near = edges_between(energy_ev - 25.0, energy_ev + 25.0)
    return tuple(
        each.name
        for each in near
        if shares.get(each.element, 0.0) > 0
        and each.disagrees
        and each.low_ev - BESIDE_EV <= energy_ev <= each.high_ev + BESIDE_EV
    )


def edge_step(name: str) -> Spread:
    """How much an edge, or a pair, adds to the absorption of one atom: 1e-24 cm², by each set.

    Read between 0.95 of the lowest tabulated energy and 1.05 of the highest and brought to the higher one,
    with what lies below carried on by its own slope. Raises TextRefused for an edge outside the table.
    """
    edges = edge_named(name).edges
    low = min(each.low_ev for each in edges)
    high = max(each.high_ev for each in edges)
    element = edges[0].element
    barn = atomic_weight(element) / 0.602214076
    steps = []
    for column in range(len(SETS)):
        below = _of_element(element, BELOW * low, column)
        above = _of_element(element, ABOVE * high, column)
        power = _slope_below(element, low, column)
        steps.append(barn * (above - below * (ABOVE * high / (BELOW * low)) ** -power))
    return Spread(_by_set(steps))


def jump(name: str) -> Spread:
    """Attenuation above an edge or a pair over that below it, by each set, from the first source's energies.

    Read at 0.95 of the first edge and at 1.05 of it, or 1.03 of its partner where that lies higher.
    """
    edges = edge_named(name).edges
    element, first, last = edges[0].element, *(each.energies[0].value for each in (edges[0], edges[-1]))
    low, high = BELOW * first, max(ABOVE * first, JUST_ABOVE * last)
    columns = range(len(SETS))
    return Spread(
        _by_set([_of_element(element, high, each) / _of_element(element, low, each) for each in columns])
    )


def _slope_below(element: str, edge_ev: float, column: int) -> float:
    """The power by which attenuation falls below an edge; the usual one where another edge hides it."""
    if any(each.element == element for each in edges_between(FLOOR * edge_ev - 1.0, BELOW * edge_ev + 1.0)):
        return USUAL_POWER
    first, second = (_of_element(element, share * edge_ev, column) for share in (FLOOR, BELOW))
    return math.log(first / second) / math.log(BELOW / FLOOR)


def _of_element(element: str, energy_ev: float, column: int) -> float:
    """cm² per g, along straight lines between logarithms of the table."""
    atomic_weight(element)
    rows = TABLE[element]
    if not rows[0][0] <= energy_ev <= rows[-1][0]:
        needed = f"an energy from {rows[0][0]:g} to {rows[-1][0]:g} eV"
        raise TextRefused("attenuation", needed, f"{energy_ev:g} eV", "Ask inside the table.")
    after = min(bisect_right(rows, energy_ev, key=lambda row: row[0]), len(rows) - 1)
    first, second = rows[after - 1], rows[after]
    along = math.log(energy_ev / first[0]) / math.log(second[0] / first[0])
    return first[column + 1] * (second[column + 1] / first[column + 1]) ** along


def _by_set(values: list[float]) -> tuple[Sourced, ...]:
    return tuple(Sourced(value, source) for value, source in zip(values, SETS, strict=True))
