"""Every scan of a shift as a curve with what was recorded beside it, formed once for all that look at it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from edgeshift.numerics.local_lines import Spline, spline
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.once import Once
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import ShiftState, moment
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.raw_curve import raw_curve

CLOSE = 0.2
"""Points nearer to the one before than this share of the usual step say nothing new and bend a spline."""


DEAD_SHARE = 1e-6
"""A beam that varies by less than this share of itself is a column that nothing wrote to."""


@dataclass(frozen=True, eq=False)
class Trace:
    """One scan, divided by I0 where that was recorded, on rising energies with its declared tie.

    All arrays (points,): `value` the signal in units of `scale`, its highest reading, so that no file's unit
    is too large or too small to count with; `light` the fluorescence of the same scan where it is not the
    signal, `i0` the beam, both likewise; `along` the share of the scan's time that had passed. None where not
    recorded.
    """

    each: Pass
    energy_ev: np.ndarray
    value: np.ndarray
    light: np.ndarray | None
    i0: np.ndarray | None
    along: np.ndarray
    scale: float

    @property
    def scan(self) -> Scan:
        """The scan itself."""
        return self.each.scan

    @property
    def key(self) -> str:
        """The scan's key."""
        return self.each.scan.key

    @cached_property
    def middle_ev(self) -> float:
        """Its middle energy."""
        return float(np.median(self.energy_ev))

    @cached_property
    def has_beam(self) -> bool:
        """Whether it has a beam that lives: a dead column divides nothing."""
        i0 = self.i0
        if i0 is None or not np.isfinite(i0).any():
            return False
        return bool(np.nanstd(i0) > DEAD_SHARE * abs(np.nanmean(i0)))

    @cached_property
    def spline(self) -> Spline:
        """The curve at any energy."""
        return spline(self.energy_ev, self.value)

    @cached_property
    def light_spline(self) -> Spline | None:
        """The fluorescence at any energy."""
        return None if self.light is None else spline(self.energy_ev, self.light)


def trace_of(each: Pass) -> Trace:
    """The trace of one pass."""
    curve = raw_curve(each)
    scan, rows = each.scan, curve.rows
    i0 = _scaled(each.rates["i0"][rows])[0] if "i0" in each.rates else None
    light = None
    if scan.signal != "fluorescence" and "fluorescence" in each.rates and i0 is not None:
        with np.errstate(divide="ignore", invalid="ignore"):
            light = _scaled(each.rates["fluorescence"][rows])[0] / i0
        light = _scaled(np.where(np.isfinite(curve.value), light, np.nan))[0]
    passed = scan.clock_s if scan.clock_s is not None else np.cumsum(scan.dwell_s)
    whole = float(np.nanmax(passed)) if np.isfinite(passed).any() else 0.0
    along = np.nan_to_num(passed / whole)[rows] if whole > 0 else np.linspace(0.0, 1.0, rows.size)
    value, scale = _scaled(np.where(_crowded(curve.energy_ev), np.nan, curve.value))
    shift = scan.tie.shift_ev if scan.tie else 0.0
    return Trace(each, curve.energy_ev + shift, value, light, i0, along, scale)


def _scaled(values: np.ndarray) -> tuple[np.ndarray, float]:
    """Values over their largest size, and that size; what is no number is missing."""
    values = np.where(np.isfinite(values), values, np.nan)
    scale = float(np.max(np.abs(values), where=np.isfinite(values), initial=0.0))
    return (values / scale, scale) if scale > 0 else (values, 1.0)


def _crowded(energy_ev: np.ndarray) -> np.ndarray:
    """Points that lie all but on the one before them."""
    step = np.diff(energy_ev)
    if step.size < 2:
        return np.zeros(energy_ev.size, dtype=bool)
    usual = np.minimum(np.r_[step[1:], step[-1]], np.r_[step[0], step[:-1]])
    return np.r_[False, step < CLOSE * usual]


@dataclass(frozen=True, eq=False)
class Traces:
    """All usable traces of a shift by edge, each edge in the order of time, and what they are judged with.

    `when_s` is the moment of each scan in seconds (or its rank where clocks are missing).
    """

    by_edge: Mapping[str, tuple[Trace, ...]]
    when_s: Mapping[str, float]
    experiment: Experiment
    once: Once

    @cached_property
    def in_time(self) -> tuple[Trace, ...]:
        """All of them in the order of time."""
        every = [trace for some in self.by_edge.values() for trace in some]
        return tuple(sorted(every, key=lambda trace: self.when_s[trace.key]))

    @cached_property
    def kinds(self) -> dict[str, str]:
        """Specimen -> specimen, standard or blank."""
        return {each.name: each.kind for each in self.experiment.specimens}

    def groups(self, by: Callable[[Trace], object]) -> dict[tuple, tuple[Trace, ...]]:
        """(edge, signal, by) -> its traces in the order of time, those for which `by` is None left out."""
        found: dict[tuple, list[Trace]] = {}
        for edge, some in self.by_edge.items():
            for trace in some:
                name = by(trace)
                if name is not None:
                    found.setdefault((edge, trace.scan.signal, name), []).append(trace)
        return {key: tuple(some) for key, some in found.items()}


def specimen_of(trace: Trace) -> str | None:
    """Its specimen."""
    return trace.scan.place.specimen


def spot_of(trace: Trace) -> tuple[str, str] | None:
    """Its specimen and spot, where both are known."""
    place = trace.scan.place
    return (place.specimen, place.spot) if place.specimen and place.spot else None


def traces_of(
    sets: Mapping[str, tuple[Pass, ...]],
    state: ShiftState,
    experiment: Experiment,
    left_out: frozenset[str],
    once: Once,
) -> Traces:
    """The traces of a shift without the scans `left_out`."""
    passes = {edge: [e for e in some if e.scan.key not in left_out] for edge, some in sets.items()}
    when = _moments([each for some in passes.values() for each in some], state)
    by_edge = {
        edge: tuple(
            once(("trace", id(each)), lambda each=each: trace_of(each))
            for each in sorted(some, key=lambda each: when[each.scan.key])
        )
        for edge, some in passes.items()
    }
    return Traces(by_edge, when, experiment, once)


def _moments(passes: list[Pass], state: ShiftState) -> dict[str, float]:
    """Seconds at which each scan began; where one has no clock, the order in which they came for all."""
    if all(each.scan.started for each in passes):
        return {each.scan.key: moment(each.scan.started).timestamp() for each in passes}
    number = {key: arrival.number for key, arrival in state.arrivals.items()}
    ranked = sorted(passes, key=lambda each: (number.get(each.scan.key, 0), each.scan.key))
    return {each.scan.key: float(rank) for rank, each in enumerate(ranked)}
