"""Invented scans with one trap or none, for trap_rates: a small world that knows nothing of practice shifts.

Everything that could be learnt by heart is drawn: components, lines, sizes, noise, times and places.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from edgeshift.recipe.experiment import Experiment
from edgeshift.records.scan import Channel, Place, Scan

BEGINS = datetime(2026, 5, 2, 9, tzinfo=UTC)
SCAN_S, PAUSE_S, BLOCK_S = 330.0, 600.0, 7200.0
"""From one scan to the next, between edges, and from one edge to the next."""
EDGES = {"Al K": (1567.0, 0.0), "Fe L": (709.0, 13.0), "Ti L": (458.5, 5.8), "Si K": (1846.0, 0.0)}
"""Where the first line lies and how far its partner lies above it, eV."""
CALCIUM = {"Ca L": (349.3, 3.3)}
"""Drawn for the light of the second order alone: twice its upper baseline lies the iron edge."""
PLACES = {**EDGES, **CALCIUM}


@dataclass(frozen=True)
class Twist:
    """What is done to one scan: slide in eV; share of the second component added; loss by charging and its
    time in s; factor on everything; lost counts; share of a second-order curve; dip left undivided."""

    slide_ev: float = 0.0
    changed: float = 0.0
    sag: float = 0.0
    sag_s: float = 60.0
    gain: float = 1.0
    off: float = 0.0
    order_share: float = 0.0
    undivided: bool = False


@dataclass
class World:
    """One drawn beamline with its materials."""

    rng: np.random.Generator
    components: dict = field(default_factory=dict)
    noise: float = 0.0
    drift_ev_per_h: float = 0.0
    fluorescence: bool = True
    effect: float | None = None

    def __post_init__(self) -> None:
        self.noise = float(self.rng.uniform(0.003, 0.008))
        self.drift_ev_per_h = float(self.rng.uniform(-0.02, 0.02))
        for edge, (at, split) in PLACES.items():
            self.components[edge] = [self._component(at, split) for _ in range(2)]
        self.edges = [str(edge) for edge in self.rng.permutation(list(EDGES))[:3]]
        self.step = {edge: float(self.rng.uniform(0.15, 0.6)) for edge in PLACES}

    def _component(self, at: float, split: float):
        rng, width = self.rng, 0.0011 * at
        lines = [
            (at + rng.uniform(-1.0, 1.2) * width, rng.uniform(0.8, 1.6) * width, rng.uniform(0.8, 3.0)),
            (at + rng.uniform(1.8, 3.2) * width, rng.uniform(1.2, 2.5) * width, rng.uniform(0.2, 0.9)),
        ]
        if split:
            lines += [(e + split, w * 1.3, 0.45 * h) for e, w, h in lines]
        else:
            lines.append((at + 20.0, 11.0, rng.uniform(0.2, 0.4)))
        return at + rng.uniform(-0.3, 0.3) * width, split, width, lines

    def absorption(self, edge: str, energy: np.ndarray, share: float) -> np.ndarray:
        """In edge steps (points,): a mixture of the edge's two components."""
        total = np.zeros(energy.size)
        for part, (at, split, width, lines) in zip((1 - share, share), self.components[edge], strict=True):
            steps = [(at, 0.67), (at + split, 0.33)] if split else [(at, 1.0)]
            one = sum(high * (0.5 + np.arctan((energy - e) / (0.4 * width)) / np.pi) for e, high in steps)
            one = one + sum(h * np.exp(-2.77 * ((energy - e) / w) ** 2) for e, w, h in lines)
            total = total + part * one
        return total

    def energies(self, edge: str) -> np.ndarray:
        """Fine in the edge and coarse outside, as at a beamline."""
        at, split = PLACES[edge]
        low, high = at - 0.012 * at, at + 0.028 * at + split
        fine, wide = max(0.1, 6e-5 * at), 5e-4 * at
        inner = np.arange(at - 0.004 * at, at + 0.007 * at + split, fine)
        grid = np.r_[np.arange(low, inner[0] - fine, wide), inner, np.arange(inner[-1] + wide, high, wide)]
        return grid + 0.03 * fine * self.rng.standard_normal(grid.size)

    def beam(self, energy: np.ndarray) -> np.ndarray:
        """Light (points,), with dips where mirrors are dirty."""
        dips = (
            (285.0, 3.0, 0.3),
            (460.0, 1.2, 0.06),
            (535.0, 8.0, 0.08),
            (577.0, 1.5, 0.06),
            (712.0, 1.5, 0.05),
        )
        return np.prod([1 - d * np.exp(-2.77 * ((energy - e) / w) ** 2) for e, w, d in dips], axis=0)

    def scan(self, number: int, edge: str, place: Place, start_s: float, matter: dict, twist: Twist) -> Scan:
        """One scan; `matter` is {"share", "step", "amount", "tilt"} of the spot."""
        rng, energy = self.rng, self.energies(edge)
        dwell = 0.7
        clock = np.cumsum(np.full(energy.size, dwell + 0.5))
        true = energy - twist.slide_ev - self.drift_ev_per_h * start_s / 3600.0
        element = self.absorption(edge, true, matter["share"] + twist.changed)
        at = PLACES[edge][0]
        below = (true / at) ** -2.7 * (1 + matter["tilt"] * (true - at) / np.ptp(true))
        own = matter["amount"] * (below + self.step[edge] * matter["step"] * element)
        light = self.beam(true) * (1 + 0.002 * rng.standard_normal(energy.size))
        second = twist.order_share * self.order_of(edge, true)
        electrons = (1 - twist.off) * own + 0.1 * twist.off * (true / at) ** -2.7 + second
        charge = electrons / np.max(electrons)
        lost = 1 - twist.sag * charge**0.5 * (1 - np.exp(-clock / twist.sag_s))
        drain = (
            -1e-10
            * twist.gain
            * light
            * electrons
            * lost
            * (1 + self.noise * rng.standard_normal(energy.size))
        )
        rate = 6e4 * light * (1 - twist.off) * matter["amount"] * (0.15 + element) / 1.15
        counts = rng.poisson(rate * dwell).astype(float)
        mesh = 1.5 * light * (1 + 0.0004 * rng.standard_normal(energy.size))
        channels = {"electron-yield": Channel("electron-yield", drain[None], "A", ("drain",), sign=-1)}
        if not twist.undivided:
            channels["i0"] = Channel("i0", mesh[None], "V", ("mesh",))
        if self.fluorescence:
            channels["fluorescence"] = Channel("fluorescence", counts[None], "counts", ("fluo",))
        begun = BEGINS + timedelta(seconds=start_s)
        return Scan(
            key=f"scan-{number:03d}",
            file=f"{number:04d}.dat",
            sha256=f"{number:064d}",
            edge=edge,
            energy_ev=energy,
            dwell_s=np.full(energy.size, dwell),
            channels=channels,
            signal="electron-yield",
            place=place,
            started=begun.isoformat(),
            ended=(begun + timedelta(seconds=float(clock[-1]))).isoformat(),
            clock_s=clock,
        )

    def half_range(
        self, number: int, source: str, place: Place, start_s: float, matter: dict, twist: Twist
    ) -> Scan:
        """A scan around half the energy of an edge: level, but for what the second order brings."""
        rng, at = self.rng, EDGES[source][0]
        energy = np.arange(at / 2 - 12.0, at / 2 + 20.0, 0.2)
        base = (energy / energy[0]) ** -2.0 * (1 + 0.02 * rng.standard_normal() * (energy - energy[0]) / 32.0)
        value = base + twist.order_share * self.absorption(source, 2 * energy, matter["share"])
        value = value * (1 + self.noise * rng.standard_normal(energy.size))
        light = self.beam(energy)
        channels = {
            "electron-yield": Channel(
                "electron-yield", -1e-10 * (light * value)[None], "A", ("drain",), sign=-1
            ),
            "i0": Channel("i0", 1.5 * light[None], "V", ("mesh",)),
        }
        begun = (BEGINS + timedelta(seconds=start_s)).isoformat()
        said = {"file": f"{number:04d}.dat", "sha256": f"{number:064d}", "edge": None, "energy_ev": energy}
        more = {"dwell_s": np.full(energy.size, 0.7), "channels": channels, "signal": "electron-yield"}
        return Scan(key=f"scan-{number:03d}", place=place, started=begun, **said, **more)

    def order_of(self, edge: str, energy: np.ndarray) -> np.ndarray:
        """What light of twice the energy brings (points,): the curve of whichever edge lies there."""
        total = np.zeros(energy.size)
        for other, (at, split) in EDGES.items():
            if other != edge and 2 * energy[0] < at + split and at < 2 * energy[-1]:
                total = total + self.absorption(other, 2 * energy, 0.3)
        return total


@dataclass(frozen=True)
class Day:
    """A drawn shift: its text, and its scans by edge."""

    experiment: Experiment
    scans: tuple[Scan, ...]

    def by_edge(self) -> dict[str, tuple[Scan, ...]]:
        """Edge -> scans in the order of time."""
        found: dict[str, list[Scan]] = {}
        for scan in self.scans:
            found.setdefault(scan.edge or "no known edge", []).append(scan)
        return {edge: tuple(some) for edge, some in found.items()}


def seconds_of(scan: Scan) -> float:
    """When a scan began, in seconds since the shift did."""
    return (datetime.fromisoformat(scan.started) - BEGINS).total_seconds()


def text(per_arm: int, batch: bool = False, standard: bool = True) -> Experiment:
    """Two arms with so many units each, one specimen a unit, and a standard."""
    units, specimens = [], []
    for arm in ("raw", "fired"):
        for letter in "ABCDE"[:per_arm]:
            shared = {"batch": "one fire"} if batch and arm == "fired" else {}
            units.append({"name": f"{arm} {letter}", "arm": arm, **shared})
            specimens.append({"name": f"{arm}-{letter}", "unit": f"{arm} {letter}"})
    if standard:
        specimens.append({"name": "STANDARD", "kind": "standard"})
    return Experiment.model_validate(
        {
            "arms": [{"name": "raw", "control": True}, {"name": "fired"}],
            "units": units,
            "specimens": specimens,
        }
    )


def matter(world: World, share: float, scatter: float) -> dict:
    """One unit's, or one spot's, own share, step, amount and tilt."""
    rng = world.rng
    return {
        "share": float(np.clip(share + 0.04 * scatter * rng.standard_normal(), 0, 1)),
        "step": float(1 + 0.15 * scatter * rng.standard_normal()),
        "amount": float(np.exp(0.1 * scatter * rng.standard_normal())),
        "tilt": float(0.01 * scatter * rng.standard_normal()),
    }


def spot_of(world: World, unit: dict) -> dict:
    """A spot scatters a third as much as a unit."""
    rng = world.rng
    return {
        "share": float(np.clip(unit["share"] + 0.013 * rng.standard_normal(), 0, 1)),
        "step": unit["step"] * float(1 + 0.05 * rng.standard_normal()),
        "amount": unit["amount"] * float(np.exp(0.033 * rng.standard_normal())),
        "tilt": unit["tilt"] + 0.003 * float(rng.standard_normal()),
    }


def shift(world: World, twist_for=None, per_arm: int = 3, interleaved: bool = True) -> Day:
    """Two edges, two spots a specimen, two scans on the first; `twist_for(edge, specimen, spot, time)`."""
    rng, experiment = world.rng, text(per_arm)
    names = [s.name for s in experiment.specimens if s.kind == "specimen"]
    clock, number, scans = 0.0, 0, []
    for edge in world.edges:
        effect = float(rng.uniform(0.0, 0.6)) if world.effect is None else world.effect
        units = {n: matter(world, 0.2 + effect * n.startswith("fired"), 1.0) for n in names}
        units["STANDARD"] = matter(world, 0.0, 1.0)
        spots = {(n, s): spot_of(world, units[n]) for n in units for s in ("s1", "s2")}
        mixed = [n for pair in zip(names[:per_arm], names[per_arm:], strict=True) for n in pair]
        rounds = [(spot, name) for spot in ("s1", "s2", "s1") for name in names]
        rounds = sorted(rounds, key=lambda r: r[1].startswith("fired"))
        if interleaved:
            rounds = (
                [("s1", n) for n in mixed] + [("s2", n) for n in mixed[::-1]] + [("s1", n) for n in mixed]
            )
            rounds = [("s1", "STANDARD"), *rounds, ("s1", "STANDARD")]
        for spot, name in rounds:
            number += 1
            twist = twist_for(edge, name, spot, clock) if twist_for else Twist()
            scans.append(world.scan(number, edge, Place(name, spot), clock, spots[name, spot], twist))
            clock += SCAN_S
        clock += PAUSE_S
    arms = {s.name: (s.unit, s.unit.split()[0]) for s in experiment.specimens if s.unit}
    placed = [
        replace(s, place=replace(s.place, unit=arms[s.place.specimen][0], arm=arms[s.place.specimen][1]))
        if s.place.specimen in arms
        else s
        for s in scans
    ]
    return Day(experiment, tuple(placed))
