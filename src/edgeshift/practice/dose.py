"""Dose, and what it does: the energy left in each kilogram, and how far a change has gone by then."""

from __future__ import annotations

import numpy as np

JOULE_PER_EV = 1.602176634e-19
"""Elementary charge, exact since the SI of 2019."""


def gray_per_s(flux_per_s: float, at_ev: float, m2_per_kg: float, beam_mm2: float) -> float:
    """Dose rate in the skin that electrons come from: flux · energy · mass attenuation / beam section."""
    return flux_per_s * at_ev * JOULE_PER_EV * m2_per_kg / (beam_mm2 * 1.0e-6)


def changed_share(dose_mgy: np.ndarray, half_mgy: float) -> np.ndarray:
    """Share (points,) of a change that is done after a dose; half of it after `half_mgy`."""
    return -np.expm1(-np.log(2.0) * dose_mgy / half_mgy)
