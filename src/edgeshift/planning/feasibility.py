"""What can be seen of a material at an edge: reach, depth, flattening, limits, overlaps, dose, grains, water.

Everything is arithmetic on two tables of attenuation, which hold no near-edge structure; where they differ by
much, the number is told with both ends.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.detection import limits, step_sigma
from edgeshift.numerics.exposure import (
    along_the_normal,
    dose_gy_per_s,
    grain_mm_for,
    grain_share_sd,
    thick_reads,
    yield_reads,
)
from edgeshift.numerics.vacuum import minutes_as_it_leaves, minutes_to_pump, water_mbar_l
from edgeshift.planning.scan_lists import (
    FINE_ABOVE_K_EV,
    FINE_ABOVE_PAIR_EV,
    FINE_BELOW_EV,
    ScanList,
    ends,
)
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import LoadLock, Matter, ScanWish
from edgeshift.tables.edges import EdgeFamily, edge_named, edges_between, families
from edgeshift.tables.matter import (
    HIGHEST_EV,
    LOWEST_EV,
    emission_ev,
    known,
    mass_attenuation,
    shares_of,
)
from edgeshift.tables.mounts import FINGERPRINTS, ON_MOUNTS

USUAL_ANGLE_DEG = 45.0
"""Where the host typed no angle (common practice, no source)."""
TRUE_PEAK = 2.0
"""Edge steps of the peak whose reading is told."""
BEFORE, AFTER = 0.99, 1.02
"""The attenuation that an edge adds is read so far under its lowest and over its highest tabulated energy."""
ORDERS = (2, 3)
DIFFER = 1.25
"""Tables that differ by more than this factor are told as a conflict (our choice)."""
ESCAPE_NM = (2.5, 5.0)
"""How deep electrons come from, 1/e: nickel (Ufuktepe and others 2011, X-Ray Spectrom. 40, 427) and iron
oxides (Gota and others 2000, Phys. Rev. B 62, 4187). Other matter lies between or somewhat beyond."""
MOST_OF = 0.9
"""The share of electron yield whose depth is told."""
FEW_GRAINS = 0.1
"""Scatter of the rarest mineral that asks for no finer grinding (our choice)."""
FEWEST_FLAT = 3
"""Points on either side of an edge that a detection limit needs."""


@dataclass(frozen=True)
class Overlap:
    """Another edge in the scan's range: directly, or in second or third order of the light.

    `mount` where tape, foil or holder would hold it and not the material.
    """

    edge: str
    at_ev: float
    order: int
    mount: bool = False


class Conflict(NamedTuple):
    """Where the tables of attenuation disagree most, by which factor, and between which energies by much."""

    at_ev: float
    factor: float
    from_ev: float
    to_ev: float


@dataclass(frozen=True)
class Feasible:
    """One edge of one material.

    `reachable` is False where the beamline or the tables do not go there, `present` where the element is not
    in the material; then most of the rest is None. `step` is what the edge adds over what is there below it
    (by each table); depth_um is the 1/e depth of light of `depth_at_ev`, which lies above the edge, along the
    surface's normal, at the typed angle, `fluorescence_um` that with the way out (None where the tables hold
    no line); `electron_nm` the depth that nine tenths of electron yield come from. `reads` and
    `electron_reads` are what a thick specimen shows of a peak of two edge steps in fluorescence and in
    electron yield. `sees_from` is the share by mass from which one scan's bare step is told from
    nothing. `dose_mgy` is that of one scan, `scans` how many bring the typed dose that matters; `grains` the
    relative scatter of the rarest mineral's share under the beam, `grind_um` the grain with which that would
    be a tenth. `beam_marks` says that mirrors leave marks here, `on_mounts` that mounts hold the element.
    """

    edge: str
    reachable: bool
    present: bool = True
    step: tuple[float, float] | None = None
    depth_at_ev: float | None = None
    depth_um: tuple[float, float] | None = None
    fluorescence_um: tuple[float, float] | None = None
    electron_nm: tuple[float, float] | None = None
    reads: float | None = None
    electron_reads: tuple[float, float] | None = None
    sees_from: float | None = None
    overlaps: tuple[Overlap, ...] = ()
    tables_differ: Conflict | None = None
    beam_marks: bool = False
    on_mounts: bool = False
    dose_mgy: float | None = None
    dose_kgy_per_s: float | None = None
    scans: float | None = None
    grains: float | None = None
    grind_um: float | None = None


@dataclass(frozen=True)
class Reach:
    """Which edges of a material a beamline (and our tables) can scan: whole, in part, and not at all."""

    whole: tuple[str, ...]
    part: tuple[str, ...]
    none_of: tuple[str, ...]


@dataclass(frozen=True)
class Moisture:
    """What a powder's water does to the lock: mbar litre of gas; minutes it adds to a dry load's if it leaves
    as water commonly does; and the minutes by which it is gone at the latest."""

    mbar_l: float
    adds_minutes: float | None
    minutes: float | None
    dry_minutes: float | None = None


@dataclass(frozen=True)
class Lying:
    """How a layered material lies in the light.

    `strong` is how strong a resonance along the layers' normal is beside a random powder's, if all of it lies
    flat and the light is fully polarised with its field in the plane of incidence; with its field in the
    surface it is 0. `angle_typed` where the host said the angle.
    """

    lies: str | None
    angle_deg: float
    angle_typed: bool
    polarisation: str | None
    strong: float


def reach(matter: Matter, beamline: BeamlineProfile) -> Reach:
    """Every main edge of the material's elements, by whether a usual scan of it fits."""
    begins, stops = _range(beamline)
    shares = shares_by_mass(matter)
    whole, part = [], []
    for family in families():
        first, last = family.edges[0].low_ev, family.edges[-1].high_ev
        if family.element in shares and begins <= first and last <= stops:
            low, high = ends(family, ScanWish())
            (whole if begins <= low and high <= stops else part).append((first, family.name))
    named = {name.partition(" ")[0] for _, name in (*whole, *part)}
    sort = [tuple(name for _, name in sorted(some)) for some in (whole, part)]
    return Reach(*sort, tuple(each for each in shares if each not in named))


def feasible(matter: Matter, one: ScanList, beamline: BeamlineProfile) -> Feasible:
    """What a scan of this list would see of this material."""
    family = edge_named(one.edge)
    low, high = one.energies_ev[0], one.energies_ev[-1]
    begins, stops = _range(beamline)
    if low < begins or high > stops:
        return Feasible(one.edge, False)
    shares = shares_by_mass(matter)
    own = family.element
    marks = FINGERPRINTS.get(own)
    about = {
        "overlaps": _overlaps(shares, own, low, high),
        "beam_marks": marks is not None and low <= marks[1] and marks[0] <= high,
        "on_mounts": own in ON_MOUNTS,
        "tables_differ": _differ(shares, low, high),
    }
    under, over = BEFORE * family.edges[0].low_ev, AFTER * family.edges[-1].high_ev
    above = mass_attenuation(shares, over)
    if own not in shares:
        return Feasible(one.edge, True, False, sees_from=_sees_from(family, one, above), **about)
    below = mass_attenuation(shares, under)
    carried = [each * _fall(shares, own, under, over, n) for n, each in enumerate(below)]
    added = [max(a - c, 0.0) for a, c in zip(above, carried, strict=True)]
    sine = math.sin(math.radians(beamline.incidence_deg or USUAL_ANGLE_DEG))
    depth = sorted(1e4 * sine / (each * matter.density) for each in above)
    rate = _dose_rate(above[0], one, beamline)
    dose = None if rate is None else 1e-6 * rate * 60 * one.minutes
    return Feasible(
        one.edge, True, True,
        step=tuple(a / c for a, c in zip(added, carried, strict=True)),
        depth_at_ev=over,
        depth_um=tuple(depth),
        fluorescence_um=_with_way_out(shares, family, matter, depth, beamline),
        electron_nm=tuple(-math.log(1 - MOST_OF) * each for each in ESCAPE_NM),
        reads=_reads(shares, family, carried[0], added[0], beamline),
        electron_reads=_electron_reads(matter.density, carried[0], added[0], beamline),
        sees_from=_sees_from(family, one, carried),
        dose_mgy=dose,
        dose_kgy_per_s=None if rate is None else 1e-3 * rate,
        scans=matter.dose_matters_mgy / dose if dose and matter.dose_matters_mgy else None,
        grains=_grains(matter, beamline),
        grind_um=_grind_um(matter, beamline),
        **about,
    )  # fmt: skip


def moisture(matter: Matter, lock: LoadLock, limit_mbar: float | None) -> Moisture | None:
    """The gas of a powder's water, where its mass and moisture are typed."""
    if not (matter.powder_mg and matter.moisture_percent):
        return None
    gas = water_mbar_l(matter.powder_mg * matter.moisture_percent / 100)
    if not (limit_mbar and lock.pump_l_per_s):
        return Moisture(gas, None, None)
    pumped = gas, limit_mbar, lock.pump_l_per_s
    return Moisture(gas, minutes_as_it_leaves(*pumped), minutes_to_pump(*pumped), lock.dry_minutes)


def lying(matter: Matter, beamline: BeamlineProfile) -> Lying | None:
    """How a layered material lies in the light; None for one that has no layers."""
    if not (matter.layered or matter.lies):
        return None
    angle = beamline.incidence_deg or USUAL_ANGLE_DEG
    typed = beamline.incidence_deg is not None
    return Lying(matter.lies, angle, typed, beamline.polarisation, along_the_normal(angle))


def _range(beamline: BeamlineProfile) -> tuple[float, float]:
    begins, stops = beamline.energy_from_ev or LOWEST_EV, beamline.energy_to_ev or HIGHEST_EV
    return max(begins, LOWEST_EV), min(stops, HIGHEST_EV)


def shares_by_mass(matter: Matter) -> dict[str, float]:
    """Of the elements of what was typed, adding up to one."""
    return known(matter.weights) if matter.weights else shares_of(matter.formula)


def _sees_from(family: EdgeFamily, one: ScanList, rest: Sequence[float]) -> float | None:
    """The share by mass whose bare step stands at Currie's limit in one scan, over a sloped background.

    Points near the edge do not count, for structure stands there; by the table that is less kind. White lines
    show from less, and a scatter that is not white from more. None where too few points are left, or none is.
    """
    above = FINE_ABOVE_K_EV if len(family.edges) == 1 else FINE_ABOVE_PAIR_EV
    first, last = family.edges[0].low_ev, family.edges[-1].high_ev
    flat = np.array([e for e in one.energies_ev if not first - FINE_BELOW_EV <= e <= last + above])
    if one.scatter <= 0 or min((flat < first).sum(), (flat > first).sum()) < FEWEST_FLAT:
        return None
    sigma = step_sigma(flat, first, 1, one.scatter)
    alone = {family.element: 1.0}
    under, over = BEFORE * first, AFTER * last
    below, after = mass_attenuation(alone, under), mass_attenuation(alone, over)
    added = [a - b * _fall(alone, family.element, under, over, n)
             for n, (a, b) in enumerate(zip(after, below, strict=True))]  # fmt: skip
    share = max(limits(sigma, 1).detectable * r / a for r, a in zip(rest, added, strict=True))
    return share if share < 1 else None


def _with_way_out(
    shares: Mapping[str, float], family: EdgeFamily, matter: Matter, depth: Sequence[float],
    beamline: BeamlineProfile,
) -> tuple[float, float] | None:  # fmt: skip
    """The 1/e depth along the normal of light that goes in and of its fluorescence that comes out again."""
    line = emission_ev(family.element, family.edges[0].shell)
    if line is None or line < LOWEST_EV:
        return None
    sine = math.sin(math.radians(beamline.exit_deg or USUAL_ANGLE_DEG))
    out = sorted(1e4 * sine / (each * matter.density) for each in mass_attenuation(shares, line))
    return tuple(1 / (1 / way_in + 1 / way_out) for way_in, way_out in zip(depth, out, strict=True))


def _electron_reads(
    density: float, below: float, added: float, beamline: BeamlineProfile
) -> tuple[float, float] | None:
    """By the first table, from the deepest to the shallowest escape."""
    if not added:
        return None
    angle = beamline.incidence_deg or USUAL_ANGLE_DEG
    per_cm = below * density, added * density
    return tuple(yield_reads(TRUE_PEAK, *per_cm, 1e-7 * each, angle) for each in reversed(ESCAPE_NM))


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
    """Edges of the other elements of material and mounts inside the range, and of all in higher orders."""
    found = []
    for order in (1, *ORDERS):
        for each in edges_between(order * low, order * high):
            held = each.element in shares
            wanted = (held or each.element in ON_MOUNTS) and each.shell in ("K", "L3", "L2", "M5", "M4")
            if wanted and (order > 1 or each.element != own):
                found.append(Overlap(each.name, each.low_ev, order, mount=not held))
    return tuple(found)


def _differ(shares: Mapping[str, float], low: float, high: float) -> Conflict | None:
    """Where the tables differ most in the range, if by much anywhere, as between two places of one edge."""
    every = np.linspace(low, high, max(3, int(high - low) + 1))
    both = np.array([mass_attenuation(shares, each) for each in every])
    factors = both.max(axis=1) / both.min(axis=1)
    worst = int(factors.argmax())
    if factors[worst] <= DIFFER:
        return None
    much = every[factors > DIFFER]
    return Conflict(float(every[worst]), float(factors[worst]), float(much[0]), float(much[-1]))


def _dose_rate(cm2_per_g: float, one: ScanList, beamline: BeamlineProfile) -> float | None:
    """Gy/s at the surface, the beam on all the while."""
    if not (beamline.flux_per_s and beamline.beam_mm2):
        return None
    return dose_gy_per_s(beamline.flux_per_s, one.energies_ev[-1], cm2_per_g / 10, beamline.beam_mm2)


def _lit_mm2(beamline: BeamlineProfile) -> float:
    """The patch on the surface: the beam's section, longer where the surface is tilted."""
    return beamline.beam_mm2 / math.sin(math.radians(beamline.incidence_deg or 90.0))


def _grains(matter: Matter, beamline: BeamlineProfile) -> float | None:
    if not (matter.grain_um and matter.mineral_share and beamline.beam_mm2):
        return None
    return grain_share_sd(matter.mineral_share, matter.grain_um / 1000, _lit_mm2(beamline))


def _grind_um(matter: Matter, beamline: BeamlineProfile) -> float | None:
    """The grain with which the rarest mineral would scatter little; None where it does so already."""
    found = _grains(matter, beamline)
    if found is None or found <= FEW_GRAINS:
        return None
    return 1000 * grain_mm_for(FEW_GRAINS, matter.mineral_share, _lit_mm2(beamline))
