"""The numbers of the picture: curves with their bands, every unit as a dot, and the rungs."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from edgeshift.numerics.permutations import smallest_reachable_p
from edgeshift.questions.real.along import along
from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.companion import Companion
from edgeshift.questions.real.features import feature_words, unit_of
from edgeshift.questions.real.nest import Nest, UnitBranch
from edgeshift.questions.real.one_more import HALF
from edgeshift.questions.real.rungs import RUNGS
from edgeshift.questions.real.two_bands import bands, beyond, lit_by, rung_shown
from edgeshift.questions.real.verdict import curves_between

SMALLEST_CHANCE_TOLD = 1e-6
"""No smaller chance is told (our choice, no source); verdicts rest on the chance as it is."""


def detail_of(
    asked: Asked, states: dict[str, str], levels: dict[str, float], exact: Companion | None
) -> dict:
    """Everything a figure or a reader of the JSON needs; arms, units, specimens and scans by key."""
    nest, judged = asked.nest, asked.judged
    sides = (judged.nest or nest).arms
    return {
        "edge": asked.edge,
        "control": asked.control,
        "treated": [asked.treated],
        "paired": nest.paired,
        "treated_arms": asked.arms,
        "control_named": asked.control_named,
        "units": {arm: len(units) for arm, units in nest.arms},
        "left_out": list(nest.left_out),
        "rungs": states,
        "lit_by": lit_by(asked, states, levels),
        "rung_words": {r: asked.evidence(r).words for r in RUNGS if not asked.testable(r)},
        "would_have_shown": {
            r: asked.evidence(r).would_have_shown(levels[r]) for r in RUNGS if states[r] == "not-shown"
        },
        "judged_by": "feature" if asked.by_feature else "curve",
        "feature": _feature(asked, levels),
        "found": None if asked.ladder.features else _found(asked),
        "matters": asked.comparison.matters,
        "matters_after": asked.comparison.matters_after,
        "declared": asked.comparison.declared,
        "role": asked.comparison.role,
        "levels": levels,
        "chance": _unit_chance(asked, states),
        "smallest_p": smallest_reachable_p(*(len(units) for _, units in sides), (judged.nest or nest).paired),
        "exact": exact and {"p": exact.p, "smallest": exact.smallest, "of": exact.of},
        "looks": [
            {"units": one.units, "planned": one.planned, "level": one.level, "line": one.number}
            for one in judged.looks
        ],
        "planned_now": judged.planned_now,
        "frozen": judged.frozen or None,
        "next_look_at": judged.next_at,
        "one_more": [each._asdict() for each in asked.one_more if each.act != HALF],
        "half_round": next(each._asdict() for each in asked.one_more if each.act == HALF),
        "curves": _curves(asked, levels),
        "dots": [_dots(arm, unit, _reading(asked)) for arm, units in nest.arms for unit in units],
    }


def _unit_chance(asked: Asked, states: dict[str, str]) -> float | None:
    """The units rung's own chance, before the price of several arms; None where there is no test.

    Never below SMALLEST_CHANCE_TOLD: so far out no few units know the tails of their scatter.
    """
    if states["units"] == "cannot-test":
        return None
    return max(asked.evidence("units").chance, SMALLEST_CHANCE_TOLD)


def _feature(asked: Asked, levels: dict[str, float]) -> dict | None:
    feature = asked.comparison.feature
    if feature is None or asked.ladder.features is None:
        return None
    rung = next((r for r in reversed(RUNGS) if asked.ladder.features[r].testable), None)
    control, treated = (np.mean([u.feature for u in units]) for _, units in asked.nest.arms)
    half = float("nan")
    if rung:
        half = float(asked.ladder.features[rung].band(levels[rung]).half_width[0])
    return {
        "kind": feature.kind,
        "windows": [list(w) for w in feature.windows],
        "words": feature_words(feature),
        "unit": unit_of(feature.kind, asked.nest.curve_unit),
        "control": float(control),
        "treated": float(treated),
        "difference": float(treated - control),
        "low": _or_none(treated - control - half),
        "high": _or_none(treated - control + half),
        "rung": rung,
    }


def _curves(asked: Asked, levels: dict[str, float]) -> dict:
    """Arm means and both bands of the highest rung that can be tested (`band_of`).

    `difference` is treated minus control with the full band; `shape` what is left of it when offset, slope,
    height and slide are taken from every curve, with the shape band (None: no shape is judged). `passed`
    names the bands that exclude zero at the judged level, `beyond` says where; both are empty where the rung
    is not `judged` by what is shown. `single_residual`: one degree of freedom is all
    the scatter was learnt from.
    `along` says how much of the units' scatter and of the difference the shape band cannot see.
    """
    nest = asked.nest
    rung = rung_shown(asked)
    both = bands(asked.ladder.curves[rung], levels[rung]) if rung else {}
    half = both["full"][1].half_width if both else np.full(len(nest.energy_ev), np.nan)
    own = _arm_halves(nest, half, levels["units"])
    left = beyond(asked, rung, levels[rung]) if rung else {}
    return {
        "unit": nest.curve_unit,
        "band_of": rung,
        "energy_ev": _list(nest.energy_ev),
        "control": _banded(nest.means[0], own[0]),
        "treated": _banded(nest.means[1], own[1]),
        "difference": _banded(nest.difference, half),
        "shape": _banded(*both["shape"][1]) if "shape" in both else None,
        "judged": bool(rung) and asked.judged_as_shown(rung),
        "passed": list(left),
        "beyond": left,
        "single_residual": bool(rung) and asked.ladder.curves[rung].full.own == 1,
        "along": along(nest),
    }


def _arm_halves(nest: Nest, half: np.ndarray, level: float) -> list[np.ndarray]:
    """Half-width of each arm's own band: by its units where each arm has two, else a share of `half`.

    Pairs do not enter here: an arm on its own scatters as much as its units do.
    """
    counts = [len(units) for _, units in nest.arms]
    rows = [np.vstack([u.curve for u in units]) for _, units in nest.arms]
    free = curves_between(nest.energy_ev, *rows, False)
    if free.testable:
        half = free.band(level).half_width
    return [half * math.sqrt((1 / n) / sum(1 / m for m in counts)) for n in counts]


def _banded(value: np.ndarray, half: np.ndarray) -> dict:
    return {"value": _list(value), "low": _list(value - half), "high": _list(value + half)}


def _found(asked: Asked) -> dict:
    """Where the dots are read when no feature can be: the height at which the two arms differ most."""
    energy = float(asked.nest.energy_ev[_most_different(asked)])
    unit = unit_of("height", asked.nest.curve_unit)
    return {"energy_ev": energy, "words": f"height at {energy:.1f} eV, where they differ most", "unit": unit}


def _most_different(asked: Asked) -> int:
    return int(np.argmax(np.abs(asked.nest.difference)))


def _reading(asked: Asked) -> Callable[[Any], float]:
    """How a dot is read from a unit, a spot or a scan."""
    if asked.ladder.features:
        return lambda leaf: leaf.feature
    place = _most_different(asked)
    return lambda leaf: float(leaf.curve[place])


def _dots(arm: str, unit: UnitBranch, read: Callable[[Any], float]) -> dict:
    return {
        "arm": arm,
        "unit": unit.unit,
        "pair": unit.pair,
        "value": _or_none(read(unit)),
        "spots": [
            {
                "specimen": s.specimen,
                "spot": s.spot,
                "value": _or_none(read(s)),
                "scans": [_or_none(read(scan)) for scan in s.scans],
                "keys": [scan.key for scan in s.scans],
            }
            for s in unit.spots
        ],
    }


def _or_none(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _list(values: np.ndarray) -> list[float | None]:
    """Seven figures of the largest value are more than any band earns, and keep the JSON short."""
    known = np.isfinite(values)
    top = float(np.max(np.abs(values[known]), initial=0.0))
    rounded = np.round(values, 6 - math.floor(math.log10(top))) if top > 0 else values
    listed = rounded.tolist()
    return listed if known.all() else [v if math.isfinite(v) else None for v in listed]
