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


def yield_reads(true: float, below: float, added: float, escape_cm: float, incidence_deg: float) -> float:
    """What electron yield shows of a peak `true` steps high: every reading u turns into u / (1 + d u / sin).

    `below` and `added` are the attenuation under the edge and what the edge adds, per cm; `escape_cm` is d.
    """
    per_cm = escape_cm / math.sin(math.radians(incidence_deg))

    def read(steps: float) -> float:
        taken = below + steps * added
        return taken / (1 + per_cm * taken)

    return (read(true) - read(0.0)) / (read(1.0) - read(0.0))


def along_the_normal(incidence_deg: float) -> float:
    """How strong a resonance along the normal of a lying layer is, beside the same in a random powder.

    Light fully polarised in the plane of incidence, grazing at this angle, has its field so far from the
    normal: 3 cos^2; a field that lies in the surface meets none of it. From the dipole rule alone.
    """
    return 3 * math.cos(math.radians(incidence_deg)) ** 2


MAGIC_DEG = math.degrees(math.acos(math.sqrt(1 / 3)))
"""Where a lying layer reads as a random powder: 54.7 degrees."""


def grain_share_sd(share: float, grain_mm: float, beam_mm2: float) -> float:
    """Relative standard deviation of a mineral's share, counting grains: sqrt[(1 - p) / (N p)]."""
    grains = beam_mm2 / grain_mm**2
    return math.sqrt((1 - share) / (grains * share))


def grain_mm_for(share_sd: float, share: float, beam_mm2: float) -> float:
    """The size of grains with which a mineral's share scatters by so much: the inverse of the above."""
    return share_sd * math.sqrt(beam_mm2 * share / (1 - share))
