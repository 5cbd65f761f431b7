"""What can be seen of a material at an edge: depth, self-absorption, overlaps, dose, grains, moisture.

Everything is arithmetic on two tables of attenuation, which hold no near-edge structure; where they differ by
much, the number is told with both ends.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from edgeshift.numerics.exposure import dose_gy_per_s, grain_share_sd, thick_reads
from edgeshift.numerics.vacuum import minutes_to_pump, water_mbar_l
from edgeshift.planning.scan_lists import ScanList
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import LoadLock, Matter
from edgeshift.tables.edges import edge_named, edges_between
from edgeshift.tables.matter import (
    HIGHEST_EV,
    LOWEST_EV,
    emission_ev,
    known,
    mass_attenuation,
    shares_of,
)

USUAL_ANGLE_DEG = 45.0
"""Where the host typed no angle (common practice, no source)."""
TRUE_PEAK = 2.0
"""Edge steps of the peak whose fluorescence reading is told."""
BEFORE, AFTER = 0.99, 1.02
"""The attenuation that an edge adds is read so far under its lowest and over its highest tabulated energy."""
ORDERS = (2, 3)
DIFFER = 1.25
"""Tables that differ by more than this factor are told as a conflict (our choice)."""


@dataclass(frozen=True)
class Overlap:
    """Another edge in the scan's range: directly, or in second or third order of the light."""

    edge: str
    at_ev: float
    order: int


@dataclass(frozen=True)
class Feasible:
    """One edge of one material.

    `reachable` is False where the beamline or the tables do not go there, `present` where the element is not
    in the material; then the rest is None. `step` is what the edge adds over what is there below it (by each
    table); depth_um is the 1/e depth of light above the edge along the surface's normal, at the typed angle;
    `reads` what a thick specimen's fluorescence shows of a peak of two edge steps. `dose_mgy` is that of one
    scan, `scans` how many bring the typed dose that matters; `grains` the relative scatter of the rarest
    mineral's share under the beam.
    """

    edge: str
    reachable: bool
    present: bool = True
    step: tuple[float, float] | None = None
    depth_um: tuple[float, float] | None = None
    reads: float | None = None
    overlaps: tuple[Overlap, ...] = ()
    tables_differ: bool = False
    dose_mgy: float | None = None
    scans: float | None = None
    grains: float | None = None


@dataclass(frozen=True)
class Moisture:
    """What a powder's water does to the lock: mbar litre, and the least minutes at the limit."""

    mbar_l: float
    minutes: float | None


def feasible(matter: Matter, one: ScanList, beamline: BeamlineProfile) -> Feasible:
    """What a scan of this list would see of this material."""
    family = edge_named(one.edge)
    low, high = one.energies_ev[0], one.energies_ev[-1]
    begins, ends = beamline.energy_from_ev or LOWEST_EV, beamline.energy_to_ev or HIGHEST_EV
    if low < max(begins, LOWEST_EV) or high > min(ends, HIGHEST_EV):
        return Feasible(one.edge, False)
    shares = known(matter.weights) if matter.weights else shares_of(matter.formula)
    if family.element not in shares:
        return Feasible(one.edge, True, False, overlaps=_overlaps(shares, family.element, low, high))
    under, over = BEFORE * family.edges[0].low_ev, AFTER * family.edges[-1].high_ev
    below, above = mass_attenuation(shares, under), mass_attenuation(shares, over)
    carried = [each * _fall(shares, family.element, under, over, n) for n, each in enumerate(below)]
    added = [max(a - c, 0.0) for a, c in zip(above, carried, strict=True)]
    angle = math.radians(beamline.incidence_deg or USUAL_ANGLE_DEG)
    depth = tuple(1e4 * math.sin(angle) / (each * matter.density) for each in above)
    dose = _dose(above[0], one, beamline)
    return Feasible(
        one.edge, True, True,
        step=tuple(a / c for a, c in zip(added, carried, strict=True)),
        depth_um=(min(depth), max(depth)),
        reads=_reads(shares, family, carried[0], added[0], beamline),
        overlaps=_overlaps(shares, family.element, low, high),
        tables_differ=_differ(shares, low, high),
        dose_mgy=dose,
        scans=matter.dose_matters_mgy / dose if dose and matter.dose_matters_mgy else None,
        grains=_grains(matter, beamline),
    )  # fmt: skip


def moisture(matter: Matter, lock: LoadLock, limit_mbar: float | None) -> Moisture | None:
    """The gas of a powder's water, where its mass and moisture are typed."""
    if not (matter.powder_mg and matter.moisture_percent):
        return None
    gas = water_mbar_l(matter.powder_mg * matter.moisture_percent / 100)
    if not (limit_mbar and lock.pump_l_per_s):
        return Moisture(gas, None)
    return Moisture(gas, minutes_to_pump(gas, limit_mbar, lock.pump_l_per_s))


def _fall(shares: Mapping[str, float], element: str, under: float, over: float, source: int) -> float:
    """How much less the rest takes at the higher energy; the element itself falls like the rest does."""
    rest = {each: share for each, share in shares.items() if each != element}
    if not rest:
        return (under / over) ** 2.7
    return mass_attenuation(rest, over)[source] / mass_attenuation(rest, under)[source]


def _reads(shares, family, below: float, added: float, beamline: BeamlineProfile) -> float | None:
    """By the first table. Total fluorescence is no single line, so this is the better case."""
    line = emission_ev(family.element, family.edges[0].shell)
    if line is None or line < LOWEST_EV or not added:
        return None
    incidence = math.radians(beamline.incidence_deg or USUAL_ANGLE_DEG)
    leaves = math.radians(beamline.exit_deg or USUAL_ANGLE_DEG)
    ways = math.sin(incidence) / math.sin(leaves)
    return thick_reads(TRUE_PEAK, (below + ways * mass_attenuation(shares, line)[0]) / added)


def _overlaps(shares: Mapping[str, float], own: str, low: float, high: float) -> tuple[Overlap, ...]:
    """Edges of the material's other elements inside the range, and of all in higher orders of the light."""
    found = []
    for order in (1, *ORDERS):
        for each in edges_between(order * low, order * high):
            wanted = each.element in shares and each.shell in ("K", "L3", "L2", "M5", "M4")
            if wanted and (order > 1 or each.element != own):
                found.append(Overlap(each.name, each.low_ev, order))
    return tuple(found)


def _differ(shares: Mapping[str, float], low: float, high: float) -> bool:
    """Whether the tables differ by much anywhere in the range, as between two places of one edge."""
    steps = max(2, int(high - low))
    for n in range(steps + 1):
        elam, chantler = mass_attenuation(shares, low + n * (high - low) / steps)
        if max(elam, chantler) > DIFFER * min(elam, chantler):
            return True
    return False


def _dose(cm2_per_g: float, one: ScanList, beamline: BeamlineProfile) -> float | None:
    """MGy of one scan at the surface, the beam on all the while."""
    if not (beamline.flux_per_s and beamline.beam_mm2):
        return None
    rate = dose_gy_per_s(beamline.flux_per_s, one.energies_ev[-1], cm2_per_g / 10, beamline.beam_mm2)
    return 1e-6 * rate * 60 * one.minutes


def _grains(matter: Matter, beamline: BeamlineProfile) -> float | None:
    if not (matter.grain_um and matter.mineral_share and beamline.beam_mm2):
        return None
    return grain_share_sd(matter.mineral_share, matter.grain_um / 1000, beamline.beam_mm2)
