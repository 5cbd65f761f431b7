"""The recipe: every knob of the reduction in one record, with default, unit, range and help."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field


class Section(BaseModel):
    """A part of the recipe. Unknown names are refused, so that a misspelt knob is never ignored; so is
    what is no number."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


def _low_end_first(stretch: tuple[float, float]) -> tuple[float, float]:
    if not stretch[0] < stretch[1]:
        raise ValueError(f"a stretch needs its low end first, found {stretch[0]} to {stretch[1]}")
    return stretch


Stretch = Annotated[tuple[float, float], AfterValidator(_low_end_first)]
"""Absolute energies in eV, low and high."""


def knob(default: Any, unit: str, words: str, **bounds: Any) -> Any:
    """One knob: its default, the unit it is typed in, what it does, and its range."""
    return Field(default, description=words, json_schema_extra={"unit": unit}, **bounds)


class Rates(Section):
    """How raw readings become rates."""

    note_dead_time: float = knob(
        0.10, "share", "Say so when a counter missed more than this share of the light.", ge=0, le=1
    )


class Flag(Section):
    """How single points are found that do not belong."""

    spike_sigmas: float = knob(
        6.0, "standard deviations", "How far a point must stand out before it is flagged.", ge=3, le=20
    )
    i0_floor: float = knob(
        0.25,
        "share of the median I0",
        "Below this share of its own level the beam counts as dropped.",
        gt=0,
        lt=1,
    )
    injection_window_s: float = knob(
        1.5, "s", "How long after fresh electrons came in a point may be touched by them.", ge=0, le=30
    )


class Divide(Section):
    """How the signal is divided by the incoming beam."""

    i0: Literal["scan", "reference", "none"] = knob(
        "scan",
        "choice",
        "Take I0 from the scan itself, from a separate clean reference scan, or not at all.",
    )
    reference: str | None = knob(None, "name", "The clean reference specimen, where I0 comes from it.")


class Average(Section):
    """How repeats on one spot are put together."""

    grid_step_ev: float | None = knob(
        None, "eV", "Spacing of the common energies; empty means the scans' own median grid.", ge=0.001
    )


class Baseline(Section):
    """What would be there without the edge."""

    below_ev: Stretch | None = knob(
        None, "eV", "Absolute energies of the stretch below the edge; empty means chosen from the edge."
    )
    degree: int | None = knob(
        None,
        "power",
        "0 a level, 1 a line; empty means a line in transmission and a level otherwise.",
        ge=0,
        le=2,
    )


class Scale(Section):
    """What is called one."""

    method: Literal["step", "area", "none"] = knob(
        "step", "choice", "Scale to the edge step, to the area above the baseline, or not at all."
    )
    above_ev: Stretch | None = knob(
        None, "eV", "Absolute energies of the stretch above the edge; empty means chosen from the edge."
    )
    least_step_sigmas: float = knob(
        5.0, "standard deviations", "A smaller step than this is called no usable edge step.", ge=1, le=100
    )


class Compare(Section):
    """How two arms are compared."""

    level: float = knob(0.05, "chance", "How often a difference may be called by luck alone.", gt=0, lt=0.5)


class Shares(Section):
    """How a curve is taken apart into references, and how far these are trusted."""

    most: int = knob(3, "references", "At most so many references at once.", ge=1, le=4)
    slide_ev: float = knob(
        0.1,
        "eV",
        "How far a reference may slide, one standard deviation, where no tie says better.",
        ge=0,
        le=2,
    )
    height: float = knob(
        0.1, "share", "How far heights of a reference may be off, one standard deviation.", ge=0, le=0.5
    )
    window_ev: Stretch | None = knob(
        None, "eV", "Absolute energies that are fitted; empty means from below the edge to the level above."
    )


class Recipe(Section):
    """Every knob there is. Each edge may override any of them in the experiment text."""

    rates: Rates = Rates()
    flag: Flag = Flag()
    divide: Divide = Divide()
    average: Average = Average()
    baseline: Baseline = Baseline()
    scale: Scale = Scale()
    compare: Compare = Compare()
    shares: Shares = Shares()
