"""What the beam does to a specimen, what a specimen does to its signal, and how few grains mislead."""

from __future__ import annotations

import math

JOULE_PER_EV = 1.602176634e-19
"""Exact since 2019."""


def dose_gy_per_s(flux_per_s: float, at_ev: float, m2_per_kg: float, beam_mm2: float) -> float:
    """Energy left per kilogram and second at the surface: flux x energy x mu/rho over the beam's section.

    The section is the one normal to the beam: a tilted footprint is larger, and is met by as much less.
    """
    return flux_per_s * at_ev * JOULE_PER_EV * m2_per_kg / (beam_mm2 * 1e-6)


def yield_factor(escape_nm: float, absorption_nm: float, incidence_deg: float) -> float:
    """How much electron yield is left where absorption is strong: 1 / (1 + d / (lambda sin theta)).

    `incidence_deg` is measured from the surface. Gota and others 2000, Phys. Rev. B 62, 4187 give d and
    lambda of iron oxides.
    """
    return 1 / (1 + escape_nm / (absorption_nm * math.sin(math.radians(incidence_deg))))


def thick_reads(true: float, alpha: float) -> float:
    """What a thick, flat specimen shows in fluorescence of a peak `true` steps high: N (1 + a) / (N + a)."""
    return true * (1 + alpha) / (true + alpha)


def grain_share_sd(share: float, grain_mm: float, beam_mm2: float) -> float:
    """Relative standard deviation of a mineral's share, counting grains: sqrt[(1 - p) / (N p)]."""
    grains = beam_mm2 / grain_mm**2
    return math.sqrt((1 - share) / (grains * share))
