"""One scan and all that it is judged beside."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from edgeshift.numerics.completeness import Need, Reach, line_width, reach
from edgeshift.numerics.local_lines import Spline, spline
from edgeshift.recipe.experiment import Experiment, Feature
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.raw_curve import RawCurve, raw_curve
from edgeshift.tables.edges import split_ev

NEEDS_A_STEP = (None, "height", "area")
"""Kinds of feature that are counted in edge steps; None: no feature was declared. The others are ratios or
energies, which no scaling changes."""


@dataclass(frozen=True)
class Case:
    """One pass, the other passes of its specimen, the feature asked of its edge, and the recipe in force.

    `curves` and `splines` by scan key are shared by the cases of one edge: every curve is formed once.
    """

    each: Pass
    others: tuple[Pass, ...]
    feature: Feature | None
    recipe: Recipe
    listed: frozenset[str]
    curves: dict[str, RawCurve] = field(default_factory=dict)
    splines: dict[str, Spline] = field(default_factory=dict)

    @cached_property
    def curve(self) -> RawCurve:
        """Signal over I0 on rising energies, flagged points as NaN."""
        return self._curve_of(self.each)

    @cached_property
    def energy_ev(self) -> np.ndarray:
        """Energies of the usable points."""
        return self.curve.energy_ev[np.isfinite(self.curve.value)]

    @cached_property
    def value(self) -> np.ndarray:
        """The usable points."""
        return self.curve.value[np.isfinite(self.curve.value)]

    @cached_property
    def theirs(self) -> tuple[Spline, ...]:
        """The specimen's other scans at any energy."""
        return tuple(self._spline_of(other) for other in self.others)

    @property
    def windows(self) -> tuple[tuple[float, float], ...]:
        """The feature's windows in eV; none where no feature was declared."""
        return self.feature.windows if self.feature else ()

    @property
    def scaled_to_step(self) -> bool:
        """Whether the feature is counted in edge steps."""
        kind = self.feature.kind if self.feature else None
        return self.recipe.scale.method == "step" and kind in NEEDS_A_STEP

    @cached_property
    def need(self) -> Need:
        """What the scan must reach. A step above is asked for whenever the recipe scales to one."""
        return Need(self._split_ev(), self.recipe.scale.method == "step", self.windows)

    @cached_property
    def found(self) -> Reach:
        """How far the scan reaches."""
        return reach(self.energy_ev, self.value, self.need)

    @cached_property
    def width_ev(self) -> float:
        """Width of the first strong line; NaN where there is none."""
        return line_width(self.energy_ev, self.value, self.found)

    @property
    def is_k(self) -> bool:
        """Whether the edge is a K edge: judged by its step, not by a white line."""
        return (self.each.scan.edge or "").endswith(" K")

    def flagged(self, bit: int) -> np.ndarray:
        """Energies of the points that carry this flag."""
        return self.each.scan.energy_ev[(self.each.flags & bit) != 0]

    def in_feature(self, energies_ev: np.ndarray) -> np.ndarray:
        """Which of these energies lie in one of the feature's windows."""
        inside = np.zeros(energies_ev.shape, dtype=bool)
        for low, high in self.windows:
            inside |= (energies_ev >= low) & (energies_ev <= high)
        return inside

    def _curve_of(self, one: Pass) -> RawCurve:
        if one.scan.key not in self.curves:
            self.curves[one.scan.key] = raw_curve(one)
        return self.curves[one.scan.key]

    def _spline_of(self, one: Pass) -> Spline:
        if one.scan.key not in self.splines:
            curve = self._curve_of(one)
            self.splines[one.scan.key] = spline(curve.energy_ev, curve.value)
        return self.splines[one.scan.key]

    def _split_ev(self) -> float:
        return split_ev(self.each.scan.edge)


def declared_feature(edge: str, experiment: Experiment) -> Feature | None:
    """The feature that the experiment in force names at this edge."""
    plan = experiment.edge_plan(edge)
    return plan.feature if plan else None
