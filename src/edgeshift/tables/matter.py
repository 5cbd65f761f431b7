"""What a material is made of, and what it takes from the light: formulas, mass attenuation by two tables."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

import numpy as np

from edgeshift.errors import TextRefused
from edgeshift.tables.matter_values import ATTENUATION, EMISSION_EV, MASSES

SOURCES = ("Elam, Ravel and Sieber 2002", "Chantler 2005")
LOWEST_EV, HIGHEST_EV = 250.0, 2000.0
_PART = re.compile(r"([A-Z][a-z]?)(\d*\.?\d*)|(\()|(\))(\d*\.?\d*)")


def shares_of(formula: str) -> dict[str, float]:
    """Shares by mass of a formula as 'Al2Si2O5(OH)4'. Raises TextRefused for one that cannot be read."""
    atoms = _atoms(formula.replace(" ", ""))
    masses = {element: count * MASSES[element] for element, count in atoms.items()}
    whole = sum(masses.values())
    return {element: mass / whole for element, mass in masses.items()}


def known(weights: Mapping[str, float]) -> dict[str, float]:
    """Shares by mass that add up to one. Raises TextRefused for an element that is in no table."""
    strange = [element for element in weights if element not in MASSES]
    if strange:
        act = f"Known are {', '.join(MASSES)}."
        raise TextRefused("the weights", "elements of the table", ", ".join(strange), act)
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


def _of_element(element: str, at_ev: float) -> np.ndarray:
    """Both sources, along straight lines between logarithms of the table."""
    energies, elam, chantler = _logs(element)
    at = np.log(at_ev)
    return np.exp([np.interp(at, energies, elam), np.interp(at, energies, chantler)])


@cache
def _logs(element: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return tuple(np.log(np.array(ATTENUATION[element])).T)


def _atoms(formula: str) -> dict[str, float]:
    stack: list[dict[str, float]] = [{}]
    read = 0
    for part in _PART.finditer(formula):
        if part.start() != read:
            break
        if part[3]:
            stack.append({})
        elif part[4]:
            if len(stack) < 2:
                break
            inside = stack.pop()
            for element, count in inside.items():
                stack[-1][element] = stack[-1].get(element, 0.0) + count * float(part[5] or 1)
        elif part[1] in MASSES:
            stack[-1][part[1]] = stack[-1].get(part[1], 0.0) + float(part[2] or 1)
        else:
            act = f"Known are {', '.join(MASSES)}."
            raise TextRefused(f"the formula {formula}", "elements of the table", part[1], act)
        read = part.end()
    if read != len(formula) or len(stack) != 1 or not stack[0]:
        left = repr(formula[read:] or formula)
        raise TextRefused(f"the formula {formula}", "a formula as Al2Si2O5(OH)4", left, "Check brackets.")
    return stack[0]
