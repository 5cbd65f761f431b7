"""Scans of one edge and a recipe in; single-scan and spot spectra out. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from edgeshift.numerics.averaging import mean_of
from edgeshift.numerics.edges import choose_windows
from edgeshift.numerics.grids import bridged, common_grid, onto
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.once import Once
from edgeshift.records.scan import Scan
from edgeshift.records.spectrum import Pass, Spectrum
from edgeshift.reduction import steps
from edgeshift.reduction.steps import average
from edgeshift.reduction.steps.scale import NO_STEP
from edgeshift.tables.edges import split_ev

LAST_LINE_SHARE = 0.4
"""A later line counts as the edge's last when it reaches this share of the highest."""


def flagged(scans: Iterable[Scan], recipe: Recipe) -> tuple[Pass, ...]:
    """Rates and flags of every scan of one edge, also of those that will be set aside."""
    passes = tuple(Pass(scan, np.zeros(len(scan.energy_ev), dtype=np.int64), {}, {}) for scan in scans)
    return _through(steps.between(None, "flag"), passes, recipe)


def formed(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """Flagged passes with their curves: divided by the beam, energies tied where that was declared."""
    return _through(steps.between("flag", "tie"), passes, recipe)


def reduce_edge(
    edge: str,
    passes: tuple[Pass, ...],
    recipe: Recipe,
    set_aside: frozenset[str],
    remembered: dict | None = None,
) -> EdgeSet:
    """Flagged passes of one edge to spectra.

    Scans set aside stay in `passes` and out of the rest. Every scan is also reduced on its own, with the
    same settled recipe, so that its dots stand beside the spots'; one that cannot be scaled like its spot
    has no spectrum of its own. `remembered` spares a caller who keeps his passes and recipes alive from
    doing the same scan or spot twice.
    """
    kept = tuple(each for each in passes if each.scan.key not in set_aside)
    if not kept:
        return EdgeSet(edge, passes, {}, (), recipe, (), set_aside)
    once = Once(remembered)
    singles = _formed_once(kept, recipe, once)
    averaging, shaping = steps.between("tie", "average"), steps.between("average", None)
    spots = tuple(
        each
        for group in average.by_spot(singles)
        for each in once(
            ("spot", tuple(map(id, group)), id(recipe)),
            lambda group=group: _through(averaging, group, recipe),
        )
    )
    settled = _one_of_its_kind(settle(kept[0].scan.signal, [each.curve for each in spots], recipe), once)
    shaped, settled = _alike(spots, settled, once)
    alone = _shaped_once(singles, settled, once)
    unit = shaped[0].curve.unit
    methods = tuple(step.sentence(kept, settled) for step in steps.between(None, "average"))
    methods += tuple(step.sentence(shaped, settled) for step in shaping)
    return EdgeSet(
        edge,
        passes,
        {each.scan.key: each.curve for each in alone if each.curve.unit == unit},
        tuple(each.curve for each in shaped),
        settled,
        methods,
        set_aside,
    )


def _through(chain: Iterable, passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    for step in chain:
        passes = step.run(passes, recipe)
    return passes


def _one_of_its_kind(recipe: Recipe, once: Once) -> Recipe:
    """The first recipe that was equal to this one: its `id` stands for its content, and is cheap."""
    return once(("recipe", recipe), lambda: recipe)


def _formed_once(kept: tuple[Pass, ...], recipe: Recipe, once: Once) -> tuple[Pass, ...]:
    """A clean reference is shared by all scans, so with one they are divided together."""
    if recipe.divide.i0 == "reference":
        return once(("formed", tuple(map(id, kept)), id(recipe)), lambda: formed(kept, recipe))
    return tuple(
        once(("formed", id(each), id(recipe)), lambda each=each: formed((each,), recipe))[0] for each in kept
    )


def _shaped_once(passes: tuple[Pass, ...], settled: Recipe, once: Once) -> tuple[Pass, ...]:
    chain = steps.between("average", None)
    return tuple(
        once(("shaped", id(each), id(settled)), lambda each=each: _through(chain, (each,), settled))[0]
        for each in passes
    )


def _alike(spots: tuple[Pass, ...], settled: Recipe, once: Once) -> tuple[tuple[Pass, ...], Recipe]:
    """Every spot scaled the same way: where one has no usable step, all are scaled by area and say why."""
    shaped = _shaped_once(spots, settled, once)
    reasons = [doubt for each in shaped for doubt in each.curve.doubts if doubt.startswith(NO_STEP)]
    if settled.scale.method != "step" or not reasons:
        return shaped, settled
    by_area = settled.model_copy(update={"scale": settled.scale.model_copy(update={"method": "area"})})
    by_area = _one_of_its_kind(by_area, once)
    return (
        tuple(
            replace(each, curve=replace(each.curve, doubts=(*each.curve.doubts, reasons[0])))
            for each in _shaped_once(spots, by_area, once)
        ),
        by_area,
    )


def settle(signal: str, curves: list[Spectrum], recipe: Recipe) -> Recipe:
    """The recipe with its empty knobs filled: one choice of stretches for all curves of the edge.

    The choice is made on the mean of all curves, each with its own level taken off, so that no single
    scan gets a stretch of its own. A transmitted beam falls off before the edge, so a line lies under it;
    under a yield lies a level, and a line is among the other sane choices whose spread is printed.
    """
    degree = recipe.baseline.degree
    if degree is None:
        degree = 1 if signal == "transmitted" else 0
    below, above = recipe.baseline.below_ev, recipe.scale.above_ev
    if below is None or above is None:
        energy, value = _middle(curves)
        chosen = choose_windows(energy, value, _last_line(energy, value, split_ev(curves[0].edge)))
        below, above = below or _tenths(chosen.below), above or _tenths(chosen.above)
    return recipe.model_copy(
        update={
            "baseline": recipe.baseline.model_copy(update={"below_ev": below, "degree": degree}),
            "scale": recipe.scale.model_copy(update={"above_ev": above}),
        }
    )


def _tenths(stretch: tuple[float, float]) -> tuple[float, float]:
    """To a tenth of an eV, so that one more scan seldom moves the choice, and a page can print it whole."""
    low, high = stretch
    return round(low, 1), round(high, 1)


def _middle(curves: list[Spectrum]) -> tuple[np.ndarray, np.ndarray]:
    energy = common_grid([c.energy_ev for c in curves])
    rows = []
    for curve in curves:
        row = onto(energy, curve.energy_ev, bridged(curve.energy_ev, curve.value))
        row = row - np.median(row[: max(3, len(row) // 8)])
        rows.append(row / max(float(np.max(np.abs(row))), 1e-300))
    value, _ = mean_of(np.vstack(rows))
    return energy, value


def _last_line(energy: np.ndarray, value: np.ndarray, split: float) -> float:
    """Energy of the last local top that stands out, at least `split` eV above the first one.

    A weak L2 hides behind a strong L3; then the table says where it lies.
    """
    if len(value) < 5:
        return float(energy[int(np.argmax(value))])
    tilt = np.linspace(value[:3].mean(), value[-3:].mean(), len(value))
    above = value - tilt
    tops = np.flatnonzero((above[1:-1] >= above[:-2]) & (above[1:-1] >= above[2:])) + 1
    tall = tops[above[tops] >= LAST_LINE_SHARE * above.max()] if above.max() > 0 else tops[:0]
    if not len(tall):
        return float(energy[int(np.argmax(value))])
    return float(max(energy[tall[-1]], energy[tall[0]] + split))
