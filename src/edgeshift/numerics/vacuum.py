"""Small sums of vacuum practice: gas of a moist powder, a leak from a rise, tubes and pumps in a row."""

from __future__ import annotations

import math

from scipy.special import lambertw

GAS = 8.314462618
"""J / (mol K), exact since 2019."""
ROOM_K = 293.15
WATER_G_PER_MOL = 18.015
AIR_G_PER_MOL = 28.97


def water_mbar_l(milligram: float) -> float:
    """Gas of so much water at 20 degrees C, mbar litre: the ideal gas."""
    return 10.0 * 1e-3 * milligram / WATER_G_PER_MOL * GAS * ROOM_K


def leak_mbar_l_per_s(volume_l: float, mbar_per_s: float) -> float:
    """What comes in, mbar litre per second, where a closed volume's pressure rises so fast."""
    return volume_l * mbar_per_s


def minutes_to_pump(mbar_l: float, mbar: float, litre_per_s: float) -> float:
    """Minutes in which a pump takes so much gas away at one pressure: its gas is gone by then at the latest,
    for above that pressure the pump takes more."""
    return mbar_l / (mbar * litre_per_s) / 60


def minutes_as_it_leaves(mbar_l: float, mbar: float, litre_per_s: float) -> float:
    """Minutes until so much gas keeps the pressure below `mbar`, if it leaves as 1/t from the first second.

    Its flow is Q / (t ln t) then, so t ln t = Q / (p S): common for water on metal and powder, and often
    wrong by a factor of three. Such minutes add up: to those of a dry load, for flows add up.
    """
    wanted = mbar_l / (mbar * litre_per_s)
    return wanted / float(lambertw(wanted).real) / 60


def mean_speed(gram_per_mol: float = AIR_G_PER_MOL) -> float:
    """Mean speed of a gas at 20 degrees C, m/s: sqrt(8 R T / pi M)."""
    return math.sqrt(8 * GAS * ROOM_K / (math.pi * gram_per_mol * 1e-3))


def tube_m3_per_s(diameter_m: float, length_m: float, speed_m_per_s: float | None = None) -> float:
    """Conductance of a long tube where molecules meet walls only, m^3/s: c pi d^3 / (12 l)."""
    speed = mean_speed() if speed_m_per_s is None else speed_m_per_s
    return speed * math.pi * diameter_m**3 / (12 * length_m)


def in_a_row(*speeds: float) -> float:
    """Pumping speed of a pump behind tubes (all in one unit): inverses add up."""
    return 1 / sum(1 / speed for speed in speeds)
