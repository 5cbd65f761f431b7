"""The experiment text: question, arms, units, specimens, edges, beamline and recipe, as people type it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, ValidationError, field_validator, model_validator

from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.knobs import Recipe, Section

WINDOWS_OF = {"ratio": 2, "height": 1, "area": 1, "centroid": 1, "position": 1, "line-ratio": 2}
"""Kinds of feature, and how many windows each is read in."""
PLAIN_NAME = r"^[^{}\x00-\x1f]+$"


class Arm(Section):
    """Control or a treatment."""

    name: str = Field(pattern=PLAIN_NAME, description="Short name used everywhere else in this file.")
    words: str = Field("", pattern=r"^[^{}]*$", description="How the group says it; empty: the name.")
    control: bool = Field(False, description="True for the arm that did not get the treatment.")


class Unit(Section):
    """The smallest thing that received its treatment on its own."""

    name: str = Field(pattern=PLAIN_NAME, description="Short name.")
    arm: str = Field(description="The arm it belongs to.")
    pair: str | None = Field(
        None,
        pattern=PLAIN_NAME,
        description="Shared by units that were split from one thing before treating.",
    )
    batch: str | None = Field(
        None,
        pattern=PLAIN_NAME,
        description="Shared by units that were treated together, as in one fire: they count as one.",
    )


class Holding(Section):
    """What a standard is known to hold, typed by whoever read its source. None is built in.

    Shares of standards give the same quantity of a mixture.
    """

    gives: str = Field(pattern=PLAIN_NAME, description="The quantity, as 'share of Fe(III)'.")
    value: float = Field(description="How much of it this standard holds.")
    error: float = Field(gt=0, description="The source's own stated error, one standard deviation.")
    source: str = Field(min_length=12, description="Where it stands: authors, journal, year, or DOI.")


class Specimen(Section):
    """One mounted piece of a unit."""

    name: str = Field(pattern=PLAIN_NAME, description="As it stands in the files.")
    unit: str | None = Field(None, description="The unit it came from; empty for standards and blanks.")
    kind: Literal["specimen", "standard", "blank"] = Field("specimen", description="What it is for.")
    holds: tuple[Holding, ...] = Field(
        (), description="Of a standard: what it is known to hold, and by whom."
    )

    @model_validator(mode="after")
    def _only_standards_are_known(self) -> Specimen:
        if self.holds and self.kind != "standard":
            raise ValueError(f"specimen {self.name!r} says what it holds and is no standard")
        return self


class Feature(Section):
    """One number read from a curve in stated windows.

    ratio: mean in the first window over mean in the second. height: mean in the window. area: integral
    over the window, in edge steps times eV. centroid: absorption-weighted mean energy. position: energy
    of the maximum, by a parabola through it. line-ratio: area of the first line over that of the second
    (L3 over L2) after arctangent steps of 2/3 and 1/3 were taken away, each at its line's steepest rise.
    """

    kind: Literal[tuple(WINDOWS_OF)] = Field(description="What is read.")
    windows: tuple[tuple[float, float], ...] = Field(
        min_length=1, max_length=2, description="eV, low and high."
    )
    words: str = Field("", pattern=r"^[^{}]*$", description="How the group says it.")

    @model_validator(mode="after")
    def _windows_fit_the_kind(self) -> Feature:
        need = WINDOWS_OF[self.kind]
        if len(self.windows) != need:
            many = "two windows" if need == 2 else "one window"
            raise ValueError(f"a {self.kind} needs {many}, found {len(self.windows)}")
        for low, high in self.windows:
            if not low < high:
                raise ValueError(f"a window needs its low end first, found {low} to {high}")
        return self


class Calibration(Section):
    """A published line from a feature to a quantity, typed by whoever read its source. None is built in.

    The quantity is a + b·f + c·f² + ... of the feature's number f, inside the range that the source covers.
    """

    gives: str = Field(pattern=PLAIN_NAME, description="The quantity, as 'share of Fe(III)'.")
    coefficients: tuple[float, ...] = Field(min_length=2, max_length=6, description="a, b, c, ...")
    between: tuple[float, float] = Field(description="Lowest and highest feature that the source covers.")
    error: float = Field(gt=0, description="The source's own stated error of the quantity.")
    source: str = Field(min_length=12, description="Where it stands: authors, journal, year, or DOI.")
    saturation: str = Field(
        min_length=12, description="What the source, or its reader, says of saturation and self-absorption."
    )

    @field_validator("between")
    @classmethod
    def _low_end_first(cls, between: tuple[float, float]) -> tuple[float, float]:
        if not between[0] < between[1]:
            raise ValueError(f"a range needs its low end first, found {between[0]} to {between[1]}")
        return between


class Plan(Section):
    """How many of what; says when a unit is complete."""

    units_per_arm: int | None = Field(None, ge=1, description="Units planned in each arm.")
    spots_per_unit: int = Field(1, ge=1, description="Spots planned on each unit.")
    scans_per_spot: int = Field(1, ge=1, description="Scans planned on each spot.")


class ScanWish(Section):
    """What a scan of one edge should be; what is not typed follows from widths and resolution."""

    low_ev: float | None = Field(None, gt=0, description="First energy, eV.")
    high_ev: float | None = Field(None, gt=0, description="Last energy, eV.")
    dwell_s: float | None = Field(
        None, gt=0, description="Time on each point, s; else from the two lines below."
    )
    noise_at_1s: float = Field(
        0.005, gt=0, description="Scatter of a point that is measured for 1 s, as a share."
    )
    precision: float = Field(0.006, gt=0, description="Scatter of a point that is wanted, as a share.")

    @model_validator(mode="after")
    def _low_end_first(self) -> ScanWish:
        if self.low_ev and self.high_ev and not self.low_ev < self.high_ev:
            raise ValueError(f"a scan needs its low end first, found {self.low_ev:g} to {self.high_ev:g}")
        return self


class EdgePlan(Section):
    """What will be asked of one edge, declared beforehand."""

    edge: str = Field(pattern=r"^[A-Z][a-z]? (K|L|M|L1|L2|L3|M4|M5)$", description="As 'Al K' or 'Fe L'.")
    feature: Feature | None = Field(None, description="The one number that will be compared.")
    role: Literal["family", "control", "outside"] = Field(
        "family",
        description="family: shares the price of several edges; control: should not move; outside: alone.",
    )
    matters: float | None = Field(
        None, gt=0, description="Smallest difference that matters, in the feature's own unit."
    )
    plan: Plan = Field(default_factory=Plan, description="What of the plan differs at this edge.")
    calibration: Calibration | None = Field(
        None, description="A published line from the feature to a quantity; its source must have been read."
    )
    scan: ScanWish = Field(default_factory=ScanWish, description="How it is scanned, for scan lists.")
    recipe: dict = Field(default_factory=dict, description="Knobs that differ at this edge.")

    @field_validator("recipe")
    @classmethod
    def _knobs_hold(cls, knobs: dict) -> dict:
        """A knob that is misspelt or out of range is named here, not when the edge is asked about."""
        try:
            Recipe.model_validate(knobs)
        except ValidationError as trouble:
            first = trouble.errors()[0]
            known = first["type"] != "extra_forbidden"
            words = first["msg"] if known else "is not a known knob"
            raise ValueError(f"{'.'.join(map(str, first['loc']))}: {words}") from None
        return knobs


class Limits(Section):
    """Limits the host typed. None is built in."""

    pressure_mbar: float | None = Field(None, gt=0, description="Pressure limit typed by the host, mbar.")


class LoadLock(Section):
    """What the host knows of the load lock. Nothing is built in."""

    dry_minutes: float | None = Field(
        None, gt=0, description="Minutes in which a dry load reached the pressure limit here."
    )
    volume_l: float | None = Field(None, gt=0, description="Volume that an isolation closes off, litres.")
    pump_l_per_s: float | None = Field(
        None, gt=0, description="Pumping speed at the lock, litres per second."
    )


WEIGHTS_MAY_MISS = 0.02
"""So far from the whole the weights of a material may lie, for they are rounded (our choice)."""


class Matter(Section):
    """What the specimens are made of, for judging what can be seen before anybody travels."""

    formula: str = Field("", description="As Al2Si2O5(OH)4 or CuSO4·5H2O; or type weights.")
    weights: dict[str, Annotated[float, Field(gt=0)]] = Field(
        default_factory=dict, description="Shares by mass of all elements, as {Si: 0.467, O: 0.533}."
    )
    density: float = Field(2.5, gt=0, description="g per cm3, as pressed.")
    grain_um: float | None = Field(None, gt=0, description="Size of a grain, micrometres.")
    mineral_share: float | None = Field(
        None, gt=0, lt=1, description="Share of the rarest mineral that matters, by grains."
    )
    powder_mg: float | None = Field(None, gt=0, description="Powder on the whole holder, mg.")
    moisture_percent: float | None = Field(
        None, ge=0, le=100, description="Water in it, percent of its mass."
    )
    dose_matters_mgy: float | None = Field(None, gt=0, description="Dose from which a change matters, MGy.")
    layered: bool = Field(False, description="Layered minerals, graphite, films: they have a texture.")
    lies: Literal["pressed", "settled", "film"] | None = Field(
        None, description="How a layered material was mounted: pressed, settled from a liquid, or a film."
    )
    second_angle_deg: float | None = Field(
        None,
        gt=0,
        le=90,
        description="Measured at this second angle to the surface; until then texture is not excluded.",
    )

    @model_validator(mode="after")
    def _one_of_two(self) -> Matter:
        if bool(self.formula) == bool(self.weights):
            raise ValueError("needs a formula or weights, one of them")
        whole = sum(self.weights.values())
        if self.weights and not any(abs(whole / each - 1) <= WEIGHTS_MAY_MISS for each in (1, 100)):
            raise ValueError(f"needs weights that add up to 1, or to 100 percent; they add up to {whole:g}")
        return self


class Day(Section):
    """What is known of the day itself; it tells how many minutes are left."""

    ends: str | None = Field(
        None,
        pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?(Z|[+-]\d{2}:\d{2})$",
        description="When the shift ends, as 2026-03-14T20:00:00+01:00.",
    )
    lasts_min: float = Field(480.0, gt=0, description="Minutes of the whole shift.")
    arrive_min: float = Field(75.0, ge=0, description="Signing in, gloves, mounting, minutes.")
    pump_min: float = Field(
        45.0, ge=0, description="From closing the load lock to the host's limit, minutes."
    )
    transfer_min: float = Field(10.0, ge=0, description="Moving the holder in, minutes.")
    find_beam_min: float = Field(15.0, ge=0, description="Finding the beam and the map's corners, minutes.")
    survey_min: float = Field(10.0, ge=0, description="A wide first scan and its gathering, minutes.")
    tie_min: float = Field(10.0, ge=0, description="A standard at each edge, minutes.")
    lunch_min: float = Field(35.0, ge=0, description="Lunch, minutes; 0: none.")
    lunch_from_min: float = Field(180.0, ge=0, description="Earliest lunch, minutes into the shift.")
    lunch_to_min: float = Field(320.0, ge=0, description="Latest begin of lunch, minutes into the shift.")
    decide_min: float = Field(10.0, ge=0, description="The decision meeting, minutes.")
    choice_min: float = Field(
        75.0, ge=0, description="Kept after the meeting for what it chooses, minutes (common practice)."
    )
    closing_min: float = Field(
        15.0, gt=0, description="Each load's first specimen and a standard again, minutes."
    )
    write_min: float = Field(25.0, gt=0, description="Minutes kept for writing at the end.")
    close_min: float = Field(20.0, ge=0, description="Host closes, envelope handed over, minutes.")
    remount_min: float = Field(18.0, ge=0, description="Venting and mounting a second load, minutes.")
    holder_places: int = Field(12, ge=1, description="Places on a holder; more specimens take a second load.")

    @property
    def exchange_min(self) -> float:
        """A second load: vent, mount, pump, transfer, find the beam."""
        return self.remount_min + self.pump_min + self.transfer_min + self.find_beam_min


class Experiment(Section):
    """The whole text, checked: every name that is used is also defined."""

    question: str = Field("", description="The group's question, in its own words.")
    arms: tuple[Arm, ...] = Field((), description="Control and treatments.")
    units: tuple[Unit, ...] = Field((), description="What received its treatment on its own.")
    specimens: tuple[Specimen, ...] = Field((), description="What was mounted.")
    edges: tuple[EdgePlan, ...] = Field((), description="The edges and what will be asked of each.")
    plan: Plan = Plan()
    limits: Limits = Limits()
    lock: LoadLock = LoadLock()
    day: Day = Day()
    matter: Matter | None = Field(None, description="What the specimens are made of.")
    beamline: BeamlineProfile = BeamlineProfile()
    recipe: Recipe = Recipe()

    @field_validator("arms", "units", "specimens")
    @classmethod
    def _names_once(cls, things: tuple) -> tuple:
        seen: set[str] = set()
        for thing in things:
            if thing.name in seen:
                raise ValueError(f"the name {thing.name!r} stands twice")
            seen.add(thing.name)
        return things

    @model_validator(mode="after")
    def _calibrations_have_their_feature(self) -> Experiment:
        for plan in self.edges:
            if plan.calibration and plan.feature is None:
                raise ValueError(f"the calibration at {plan.edge} needs the feature it is counted from")
        return self

    @model_validator(mode="after")
    def _names_meet(self) -> Experiment:
        arms = {a.name for a in self.arms}
        units = {u.name for u in self.units}
        for unit in self.units:
            if unit.arm not in arms:
                raise ValueError(
                    f"unit {unit.name!r} names the arm {unit.arm!r}, which is not among {sorted(arms)}"
                )
        for specimen in self.specimens:
            if specimen.unit is not None and specimen.unit not in units:
                raise ValueError(
                    f"specimen {specimen.name!r} names the unit {specimen.unit!r}, which is not defined"
                )
        if sum(a.control for a in self.arms) > 1:
            raise ValueError("only one arm can be the control")
        return self

    @model_validator(mode="after")
    def _pairs_hold_one_unit_of_an_arm(self) -> Experiment:
        """Two units of one arm in one pair would count the other half twice."""
        first: dict[tuple[str, str], str] = {}
        for unit in self.units:
            if unit.pair is None:
                continue
            other = first.setdefault((unit.arm, unit.pair), unit.name)
            if other != unit.name:
                raise ValueError(
                    f"units {other!r} and {unit.name!r} of the arm {unit.arm!r} share the pair {unit.pair!r}"
                )
        return self

    @model_validator(mode="after")
    def _a_batch_lies_in_one_arm(self) -> Experiment:
        """Units of two arms were not treated together, so one batch cannot hold both."""
        first: dict[str, Unit] = {}
        for unit in self.units:
            other = first.setdefault(unit.batch, unit) if unit.batch else unit
            if other.arm != unit.arm:
                raise ValueError(
                    f"units {other.name!r} and {unit.name!r} share the batch {unit.batch!r}"
                    " and lie in two arms"
                )
        return self

    @model_validator(mode="after")
    def _edges_once(self) -> Experiment:
        seen: set[str] = set()
        for plan in self.edges:
            if plan.edge in seen:
                raise ValueError(f"the edge {plan.edge!r} stands twice")
            seen.add(plan.edge)
        return self

    @property
    def control(self) -> Arm | None:
        """The control arm: the one that says so, else the first of several."""
        said = next((a for a in self.arms if a.control), None)
        return said or (self.arms[0] if self.arms else None)

    def edge_plan(self, edge: str) -> EdgePlan | None:
        """What was planned for this edge, or None."""
        return next((e for e in self.edges if e.edge == edge), None)

    def plan_for(self, edge: str) -> Plan:
        """The plan with what was typed for this edge laid over it."""
        there = self.edge_plan(edge)
        typed = there.plan.model_fields_set if there else ()
        return self.plan.model_copy(update={part: getattr(there.plan, part) for part in typed})

    def recipe_for(self, edge: str | None) -> Recipe:
        """The recipe with this edge's own knobs laid over it."""
        plan = self.edge_plan(edge) if edge else None
        if plan is None or not plan.recipe:
            return self.recipe
        text = self.recipe.model_dump()
        for section, knobs in plan.recipe.items():
            text[section] = {**text.get(section, {}), **knobs}
        return Recipe.model_validate(text)
