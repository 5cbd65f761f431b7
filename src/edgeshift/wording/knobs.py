"""Why a knob is there and what it does to the numbers. What it is, in one line, its model says itself."""

from __future__ import annotations

from typing import NamedTuple


class Depths(NamedTuple):
    """The second and the third depth of an explanation; empty where there is nothing more to say."""

    why: str = ""
    maths: str = ""


KNOBS = {
    "recipe.rates.note_dead_time": Depths(
        "A busy counter misses light just where peaks are tallest, so tall parts come out too low.",
        "n = m / (1 - m t): measured rate m, dead time t. The share missed is m t.",
    ),
    "recipe.flag.spike_sigmas": Depths(
        "Too low, and noise is called a blip; too high, and one blip bends a mean.",
        "|point - what its neighbours and repeats say| > k s, with s the local noise and k this knob.",
    ),
    "recipe.flag.i0_floor": Depths(
        "Where almost no beam arrives, a ratio to it means nothing.",
        "A point is flagged where I0 < share x median(I0) of its own scan.",
    ),
    "recipe.flag.injection_window_s": Depths(
        "Fresh electrons shake the beam for a moment; a point measured then may jump.",
        "A point is flagged where 0 <= t - t_injection <= this many seconds.",
    ),
    "recipe.divide.i0": Depths(
        "Dividing by the beam that arrived takes its dips away. A dirty mesh leaves marks of its own.",
        "y = signal / I0; ready-made absorption is left as it is; in transmission y = -ln(signal / I0).",
    ),
    "recipe.divide.reference": Depths(
        "A clean foil scanned on its own knows the beam without the dirt of the mesh.",
        "y = (signal / I0) / (reference signal / I0), both on the scan's own energies.",
    ),
    "recipe.average.grid_step_ev": Depths(
        "Repeats seldom stand on the very same energies, so they meet on a common grid.",
        "Linear between neighbours onto E0, E0 + step, ...; empty: the median of the scans' own steps.",
    ),
    "recipe.baseline.below_ev": Depths(
        "The level before the edge is what would be there without it. Keep other lines out of it.",
        "A polynomial of the chosen degree is fitted to the points in this stretch and taken off everywhere.",
    ),
    "recipe.baseline.degree": Depths(
        "A line can follow a slope, and can also run away far above the edge.",
        "b(E) = c0 (+ c1 E (+ c2 E^2)), by least squares in the stretch below.",
    ),
    "recipe.scale.method": Depths(
        "Pieces of different thickness are comparable only after all are set to one height.",
        "step: y / (level above - level below). area: y / mean of y above the baseline. none: y as it is.",
    ),
    "recipe.scale.above_ev": Depths(
        "The level after the last line tells how much of the element the beam met.",
        "Step = mean of (y - baseline) over this stretch.",
    ),
    "recipe.scale.least_step_sigmas": Depths(
        "A step lost in its own noise would blow up everything that is divided by it.",
        "Usable where step > k x its give-or-take.",
    ),
    "recipe.compare.level": Depths(
        "Where nothing is different, this is how often we would still say that something is.",
        "A rung is lit where its chance <= level; several edges share it by Holm's step-down.",
    ),
    "limits.pressure_mbar": Depths(
        "Your facility and your host set it; staff decide. Nothing is built in, and nothing is opened.",
    ),
    "plan.units_per_arm": Depths(
        "Only units speak of the treatment. With one in each arm nothing can be said of it.",
        "Give-or-take of the difference ~ s sqrt(2 / n) with n units in each arm.",
    ),
    "plan.spots_per_unit": Depths("A second spot tells how much the place on a pot matters."),
    "plan.scans_per_spot": Depths("A repeat tells noise from structure; a third one seldom helps much."),
    "edges.role": Depths(
        "A control edge should not move: if it does, everything else is in doubt.",
        "Family edges share the level by Holm's step-down; the others stand at the plain level.",
    ),
    "edges.matters": Depths(
        "Below this nobody would change their mind, so less than it may be called no change.",
        "No change: |difference| + its give-or-take < this.",
    ),
    "edges.feature": Depths(
        "One number named before looking is worth more than the best of 160 energies found afterwards.",
        "ratio: mean in window 1 / mean in window 2; height: mean; area: integral; centroid: weighted mean.",
    ),
    "beamline.overheads.settle_s": Depths("It makes the minutes of every card honest.",
                                          "Scan time = sum of dwell + settling x points."),
    "beamline.overheads.move_min": Depths("Moving is not measuring, and costs the same minutes."),
    "beamline.overheads.edge_change_min": Depths("A new edge costs minutes before its first point."),
    "beamline.signal": Depths("Electron yield sees the outer few nanometres; fluorescence looks deeper."),
}  # fmt: skip
"""Path of a knob without names in it -> why it is there, and its maths."""
