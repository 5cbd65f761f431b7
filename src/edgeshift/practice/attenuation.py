"""What matter takes from the light: mass attenuation, and how a thick specimen swallows its own glow."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np

from edgeshift.practice.attenuation_values import TABLE


def of_element(element: str, at_ev: float) -> float:
    """cm² per g of one element, along straight lines between logarithms of the table."""
    energies, values = _logs(element)
    return float(np.exp(np.interp(np.log(at_ev), energies, values)))


def of_matter(shares: Mapping[str, float], at_ev: float) -> float:
    """cm² per g of a mixture of elements by mass."""
    return sum(share * of_element(element, at_ev) for element, share in shares.items())


def own_part(shares: Mapping[str, float], element: str, below_ev: float, at_ev: float) -> float:
    """cm² per g that an edge of `element` adds at `at_ev`: above what it took at `below_ev`, carried on.

    What is below an edge falls with the power that matter without edges shows here, about 2.7.
    """
    carried = of_element(element, below_ev) * (at_ev / below_ev) ** -2.7
    return shares.get(element, 0.0) * (of_element(element, at_ev) - carried)


def alpha(background: float, at_emission: float, own: float, geometry: float = 1.0) -> float:
    """How dilute a thick specimen is to its own light: (background + geometry · at emission) / own.

    All in cm² per g; `geometry` is sin(incidence)/sin(exit).
    """
    return (background + geometry * at_emission) / own


def seen_when_thick(true: np.ndarray, alpha_: float) -> np.ndarray:
    """What fluorescence shows of a true absorption in edge steps, for a thick flat specimen (points,)."""
    return true * (1.0 + alpha_) / (true + alpha_)


def electrons_left(escape_over_length: np.ndarray | float, incidence_deg: float) -> np.ndarray | float:
    """Share of the electrons that a surface gives beside one in which light goes infinitely deep.

    `escape_over_length` is how deep electrons come from over how deep light goes.
    """
    return 1.0 / (1.0 + escape_over_length / np.sin(np.radians(incidence_deg)))


@cache
def _logs(element: str) -> tuple[np.ndarray, np.ndarray]:
    energies, values = np.array(TABLE[element]).T
    return np.log(energies), np.log(values)
