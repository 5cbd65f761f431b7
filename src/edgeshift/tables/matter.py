"""What a material is made of, and what it takes from the light: formulas, mass attenuation by two tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

import numpy as np

from edgeshift.errors import TextRefused
from edgeshift.tables.formulas import atoms_of
from edgeshift.tables.matter_values import ATTENUATION, EMISSION_EV, MASSES

SOURCES = ("Elam, Ravel and Sieber 2002", "Chantler 2005")
LOWEST_EV, HIGHEST_EV = 250.0, 2000.0


def shares_of(formula: str) -> dict[str, float]:
    """Shares by mass of a formula as 'Al2Si2O5(OH)4'. Raises TextRefused for one that cannot be read."""
    atoms = atoms_of(formula)
    _refuse_strange(f"the formula {formula}", atoms)
    masses = {element: count * MASSES[element] for element, count in atoms.items()}
    whole = sum(masses.values())
    return {element: mass / whole for element, mass in masses.items()}


def known(weights: Mapping[str, float]) -> dict[str, float]:
    """Shares by mass that add up to one. Raises TextRefused for an element that is in no table."""
    _refuse_strange("the weights", weights)
    whole = sum(weights.values())
    return {element: share / whole for element, share in weights.items()}


def mass_attenuation(shares: Mapping[str, float], at_ev: float) -> tuple[float, float]:
    """cm2 per g of a mixture by mass, by each source. Raises ValueError outside 250 to 2000 eV."""
    if not LOWEST_EV <= at_ev <= HIGHEST_EV:
        raise ValueError(f"needed {LOWEST_EV:g} to {HIGHEST_EV:g} eV, found {at_ev:g}")
    found = [share * _of_element(element, at_ev) for element, share in shares.items()]
    elam, chantler = np.sum(found, axis=0)
    return float(elam), float(chantler)


def emission_ev(element: str, shell: str) -> float | None:
    """Energy of the main emission line after an edge ('K', 'L3', 'M5'), where the table has it."""
    return EMISSION_EV.get((element, shell))


def _refuse_strange(thing: str, elements: Iterable[str]) -> None:
    strange = [element for element in elements if element not in MASSES]
    if strange:
        act = f"Known are {', '.join(MASSES)}."
        raise TextRefused(thing, "elements of the table", ", ".join(strange), act)


def _of_element(element: str, at_ev: float) -> np.ndarray:
    """Both sources, along straight lines between logarithms of the table."""
    energies, elam, chantler = _logs(element)
    at = np.log(at_ev)
    return np.exp([np.interp(at, energies, elam), np.interp(at, energies, chantler)])


@cache
def _logs(element: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return tuple(np.log(np.array(ATTENUATION[element])).T)
