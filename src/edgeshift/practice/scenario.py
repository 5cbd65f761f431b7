"""A scenario: what is on the holder, what is known about it, and the order of the day. Data, not code."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from edgeshift.practice.beamline import Beamline
from edgeshift.practice.pressure import Load
from edgeshift.practice.shapes import Shape
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment


@dataclass(frozen=True)
class Component:
    """One material at one edge: its steps and lines before the instrument blurs them."""

    steps: tuple[Shape, ...]
    lines: tuple[Shape, ...]


@dataclass(frozen=True)
class Material:
    """What a specimen is made of: shares of elements by mass, and how deep its electrons come from."""

    shares: Mapping[str, float]
    g_per_cm3: float
    escape_nm: float


@dataclass(frozen=True)
class Damage:
    """What the beam does to some arms or specimens: the lead moves by `by`, half of it after `half_mgy`."""

    of: tuple[str, ...]
    by: float
    half_mgy: float


@dataclass(frozen=True)
class EdgeModel:
    """One edge. `shares[arm or specimen][component]` add up to one; `lead` is the component whose share
    scatters.

    `dig_sd` (common to both halves of a pair) and `unit_sd` are standard deviations of that share,
    `line_sd` of line heights (relative). `step_over_background` is the edge step over the yield of
    everything else, `levels` multiply it for single arms or specimens. `counts_per_s` is the fluorescence
    just above the edge; `taken` is how much of all light the counter takes in this scan beside the others,
    as where it stands farther back. `emission_ev` is the line that the counter takes (None: all light, and
    so dilute that the specimen swallows none of it). `sees` are edges of the same specimen inside the scan's
    own range.
    """

    name: str
    at_ev: float
    step_over_background: float
    regions: tuple[tuple[float, float, float], ...]
    dwell_s: float
    counts_per_s: float
    components: Mapping[str, Component]
    lead: str
    shares: Mapping[str, Mapping[str, float]]
    dig_sd: float
    unit_sd: float
    line_sd: float
    levels: Mapping[str, float] = field(default_factory=dict)
    emission_ev: float | None = None
    sees: tuple[str, ...] = ()
    damage: Damage | None = None
    compared: bool = True
    taken: float = 1.0

    @property
    def element(self) -> str:
        """As 'Al'."""
        return self.name.split()[0]


@dataclass(frozen=True)
class CommonScatter:
    """Relative scatter that every edge shares; a spot scatters `spot_share` as much as its unit."""

    step_height: float
    tilt: float
    amount: float
    spot_share: float


@dataclass(frozen=True)
class Block:
    """One stretch of the day: rounds through the specimens at one edge, each round at one spot.

    With `only_with` it is measured only where one of those traps is planted. `exposed_s` is how long the
    beam lay on each spot before its first scan.
    """

    edge: str
    rounds: tuple[str, ...]
    specimens: tuple[str, ...]
    pause_min: float = 0.0
    only_with: tuple[str, ...] = ()
    beam_mm2: float = 10.0
    exposed_s: float = 0.0


@dataclass(frozen=True)
class TrapPlan:
    """One trap as the scenario tells it: its words, what is planted, and what counts as caught.

    `plants` are mappings with `scans` (which ones) and fields of `Conditions`, `from_ev`, `swap` or
    `saved_again`. `caught` are rules for scoring, `named` those for an answer that names it rightly among
    the suspects of an element, `also_true` further codes that are true of the scans it touches; all are
    read by nothing else.
    """

    name: str
    words: str
    plants: tuple[Mapping[str, Any], ...]
    caught: tuple[Mapping[str, Any], ...]
    also_true: tuple[str, ...] = ()
    named: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True)
class Day:
    """Minutes of the shift before the first scan and after the last one, and how many it has."""

    before_min: float = 145.0
    after_min: float = 45.0
    lasts_min: float = 480.0


@dataclass(frozen=True)
class Scenario:
    """The whole of it. `experiment_text` is what the group typed, with the layout of the files added.

    `like` says whose shares an arm or specimen has where it has none of its own; `amounts` scale the whole
    yield of a specimen. `made_of` names the material of a specimen or an arm; whatever it does not name is of
    the first material. `unharmed` are the reasons that a scan without trap may carry (see `scoring`).
    `profile` is a layout of files other than the practice beamline's own.
    """

    name: str
    title: str
    begins: datetime
    edges: Mapping[str, EdgeModel]
    scatter: CommonScatter
    schedule: tuple[Block, ...]
    beamline: Beamline
    experiment: Experiment
    experiment_text: str
    materials: Mapping[str, Material]
    like: Mapping[str, str] = field(default_factory=dict)
    made_of: Mapping[str, str] = field(default_factory=dict)
    amounts: Mapping[str, float] = field(default_factory=dict)
    traps: Mapping[str, TrapPlan] = field(default_factory=dict)
    unharmed: Mapping[str, Any] = field(default_factory=dict)
    loads: tuple[Load, ...] = ()
    day: Day = Day()
    profile: BeamlineProfile | None = None

    def arm_of(self, specimen: str) -> str | None:
        """The arm of a specimen; None for standards, blanks and whatever belongs to no unit."""
        unit = self.unit_of(specimen)
        return next((each.arm for each in self.experiment.units if each.name == unit), None)

    def unit_of(self, specimen: str) -> str | None:
        """The unit that a specimen came from."""
        return next((s.unit for s in self.experiment.specimens if s.name == specimen), None)

    def material_of(self, specimen: str) -> Material:
        """What a specimen is made of."""
        name = self.said_of(self.made_of, specimen, self.arm_of(specimen))
        return self.materials[name or next(iter(self.materials))]

    def said_of(self, table: Mapping[str, Any], specimen: str | None, arm: str | None) -> Any:
        """What a table says of a specimen: under its own name, its arm's, or that of what it is like."""
        for name in (specimen, arm):
            seen: set[str] = set()
            while name is not None and name not in seen:
                if name in table:
                    return table[name]
                seen.add(name)
                name = self.like.get(name)
        return None
