"""Absorption edges: where two tables put them, how far they disagree, and which ones a scan may be.

An edge energy here is a tabulated binding energy, never the place of a peak: gases are counted from the
vacuum level, metals from the Fermi level, semiconductors from the top of the valence band, and the first
strong line of a solid lies elsewhere. There is no nearest edge: whoever asks gets every edge that fits,
with the doubts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from edgeshift.errors import TextRefused
from edgeshift.tables.edge_values import FIRST, ROWS, SECOND

ENERGY_SOURCES = (
    f"Williams, Electron Binding Energies (X-ray Data Booklet table 1-1), through {FIRST}",
    f"Larkins 1977 set, through {SECOND}",
)
YIELD_SOURCES = (FIRST, SECOND)
WIDTH_SOURCES = (
    f"Krause and Oliver 1979, Keski-Rahkonen and Krause 1974, through {FIRST}",
    f"Campbell and Papp 2001, through {SECOND}",
)
JUMP_SOURCE = f"Elam tables, through {FIRST}; {SECOND} holds the same numbers"

MORE_ENERGIES = {("Al", "K"): ((1561.1, "as quoted by Balde and others 2007, J. Phys. Chem. C 111, 11721"),)}
"""Energies in circulation beside the two tables: the three for Al K lie as far apart as its coordinations."""

FAMILIES = {"L": ("L3", "L2"), "M": ("M5", "M4")}
"""What one letter stands for: the pair of edges that one scan covers, lower first."""

REACH_BELOW_EV = 4.0
"""First lines lie this far below the lowest tabulated edge at most (common practice, no source)."""

REACH_ABOVE_EV = 12.0
"""First strong lines lie this far above the highest tabulated edge at most (common practice, no source)."""

REACH_ABOVE_SHARE = 0.003
"""At high energies the reach above grows as this share of the energy (common practice, no source)."""

DISAGREEMENT_EV = 1.0
"""Tables farther apart than this are told as a conflict."""


@dataclass(frozen=True)
class Sourced:
    """A number with where it comes from."""

    value: float
    source: str


@dataclass(frozen=True)
class Edge:
    """One edge, as each source has it; energies and natural widths (FWHM) in eV.

    `yields` are fluorescence yields (0..1), `jump` the ratio of attenuation just above to just below.
    The two libraries are independent in energies, K yields and widths; their L3 yields and jumps are the
    same older numbers, so their agreement there proves nothing.
    """

    element: str
    shell: str
    energies: tuple[Sourced, ...]
    jump: Sourced | None
    yields: tuple[Sourced, ...]
    widths: tuple[Sourced, ...]

    @property
    def name(self) -> str:
        """As 'Fe L3'."""
        return f"{self.element} {self.shell}"

    @property
    def low_ev(self) -> float:
        """The lowest tabulated energy."""
        return min(each.value for each in self.energies)

    @property
    def high_ev(self) -> float:
        """The highest tabulated energy."""
        return max(each.value for each in self.energies)

    @property
    def spread_ev(self) -> float:
        """How far the sources lie apart."""
        return self.high_ev - self.low_ev

    @property
    def disagrees(self) -> bool:
        """Whether the sources lie so far apart that both must be shown."""
        return self.spread_ev > DISAGREEMENT_EV

    def holds_line(self, energy_ev: float) -> bool:
        """Whether a first strong line at this energy may belong to this edge."""
        above = max(REACH_ABOVE_EV, REACH_ABOVE_SHARE * self.high_ev)
        return self.low_ev - REACH_BELOW_EV <= energy_ev <= self.high_ev + above


@dataclass(frozen=True)
class EdgeFamily:
    """The edges that one name stands for, lower first: 'Fe L' is L3 and L2, 'Al K' is K alone."""

    name: str
    element: str
    edges: tuple[Edge, ...]

    @property
    def splits_ev(self) -> tuple[Sourced, ...]:
        """Distance of the last edge from the first, by source; empty for a single edge.

        Sources agree better on it than on the energies themselves.
        """
        first, last = self.edges[0], self.edges[-1]
        there = {each.source: each.value for each in first.energies}
        pairs = (each for each in last.energies if len(self.edges) > 1 and each.source in there)
        return tuple(Sourced(round(each.value - there[each.source], 3), each.source) for each in pairs)


@dataclass(frozen=True)
class Doubt:
    """Why a candidate is not certain; the words for each code belong to `wording`.

    tables-disagree: the sources for `edge` lie `value_ev` apart. partner-outside: `edge`, its partner at
    `value_ev`, lies beyond the scan. line-out-of-reach: the strongest line lies `value_ev` from the
    tabulated energies of `edge` (below 0: under the lowest). line-on-edge: the strongest line sits
    `value_ev` from the tabulated `edge`, so the nearest edge would be named wrongly.
    """

    code: str
    edge: str
    value_ev: float


@dataclass(frozen=True)
class Candidate:
    """An edge a scan may be of, with the doubts.

    `fits` is False where the strongest line speaks against it.
    """

    family: EdgeFamily
    fits: bool
    doubts: tuple[Doubt, ...]


@cache
def edge(element: str, shell: str) -> Edge:
    """One edge, as ('Fe', 'L3'). Raises TextRefused for one that is not in the table."""
    row = _rows().get((element, shell))
    if row is None:
        raise _unknown(f"{element} {shell}")
    more = tuple(Sourced(*pair) for pair in MORE_ENERGIES.get((element, shell), ()))
    return Edge(
        element,
        shell,
        energies=_sourced(row[2:4], ENERGY_SOURCES) + more,
        jump=None if row[4] is None else Sourced(row[4], JUMP_SOURCE),
        yields=_sourced(row[5:7], YIELD_SOURCES),
        widths=_sourced(row[7:9], WIDTH_SOURCES),
    )


def edge_named(name: str) -> EdgeFamily:
    """The edges that a name stands for: 'Al K', 'Fe L' (L3 and L2), 'Ba M' (M5 and M4), 'Fe L3'.

    Raises TextRefused for a name that is none.
    """
    element, _, shell = name.strip().partition(" ")
    shells = FAMILIES.get(shell, (shell,))
    if any((element, each) not in _rows() for each in shells):
        raise _unknown(name)
    return EdgeFamily(f"{element} {shell}", element, tuple(edge(element, each) for each in shells))


def split_ev(name: str | None) -> float:
    """How far the last edge of a family lies above its first (eV); 0.0 for a single edge or no known name."""
    try:
        splits = edge_named(name or "").splits_ev
    except TextRefused:
        return 0.0
    return splits[0].value if splits else 0.0


def lowest_ev(name: str | None) -> float | None:
    """The lowest energy (eV) that any source gives a family's first edge; None for no known name."""
    try:
        return edge_named(name or "").edges[0].low_ev
    except TextRefused:
        return None


def edges_between(low_ev: float, high_ev: float) -> tuple[Edge, ...]:
    """Every edge that at least one source puts inside the range, by its lowest energy; weak ones too."""
    inside = (each for each in (edge(*key) for key in _rows()) if _inside(each, low_ev, high_ev))
    return tuple(sorted(inside, key=lambda each: (each.low_ev, each.name)))


def likely_edges(low_ev: float, high_ev: float, white_line_ev: float | None) -> tuple[Candidate, ...]:
    """Every main edge (K, L3 and L2, M5 and M4) that a scan over this range may be of, with its doubts.

    `white_line_ev` is the scan's strongest line, or None where nobody looked. Those it does not speak
    against come first, among them those whole inside the range, then by energy: the order is no choice.
    """
    found = (_candidate(family, low_ev, high_ev, white_line_ev) for family in _families())
    return tuple(sorted((each for each in found if each), key=_order))


def _order(each: Candidate) -> tuple[bool, int, float]:
    beyond = sum(doubt.code == "partner-outside" for doubt in each.doubts)
    return not each.fits, beyond, each.family.edges[0].low_ev


def _candidate(family: EdgeFamily, low_ev: float, high_ev: float, line_ev: float | None) -> Candidate | None:
    partners = [each for each in family.edges if not _inside(each, low_ev, high_ev)]
    if len(partners) == len(family.edges):
        return None
    doubts = [Doubt("tables-disagree", e.name, round(e.spread_ev, 1)) for e in family.edges if e.disagrees]
    doubts += [Doubt("partner-outside", e.name, e.low_ev) for e in partners]
    if line_ev is None:
        return Candidate(family, True, tuple(doubts))
    fits = any(each.holds_line(line_ev) for each in family.edges)
    doubts += _line_doubts(family, line_ev, fits)
    return Candidate(family, fits, tuple(doubts))


def _line_doubts(family: EdgeFamily, line_ev: float, fits: bool) -> list[Doubt]:
    first = family.edges[0]
    if not fits:
        away = line_ev - (first.low_ev if line_ev < first.low_ev else first.high_ev)
        return [Doubt("line-out-of-reach", first.name, round(away, 1))]
    others = (e for e in _main_edges() if e is not first)
    near = ((e, min((line_ev - each.value for each in e.energies), key=abs)) for e in others)
    return [Doubt("line-on-edge", e.name, round(away, 1)) for e, away in near if abs(away) <= DISAGREEMENT_EV]


def _inside(each: Edge, low_ev: float, high_ev: float) -> bool:
    return any(low_ev <= energy.value <= high_ev for energy in each.energies)


@cache
def _rows() -> dict[tuple[str, str], tuple]:
    return {(row[0], row[1]): row for row in ROWS}


@cache
def _families() -> tuple[EdgeFamily, ...]:
    """Every family of main edges that the table holds whole."""
    elements = dict.fromkeys(element for element, _ in _rows())
    names = {"K": ("K",), **FAMILIES}
    return tuple(
        edge_named(f"{element} {letter}")
        for element in elements
        for letter, shells in names.items()
        if all((element, shell) in _rows() for shell in shells)
    )


@cache
def _main_edges() -> tuple[Edge, ...]:
    return tuple(each for family in _families() for each in family.edges)


def _sourced(values: tuple[float | None, ...], sources: tuple[str, ...]) -> tuple[Sourced, ...]:
    pairs = zip(values, sources, strict=True)
    return tuple(Sourced(value, source) for value, source in pairs if value is not None)


def _unknown(name: str) -> TextRefused:
    return TextRefused(
        "edge name", "an element and a shell, as 'Al K' or 'Fe L'", f"'{name}'", "Correct the name."
    )
