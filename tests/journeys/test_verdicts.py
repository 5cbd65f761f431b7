"""What verdicts from few units promise, in short: the benchmarks' own code on seeds of its own."""

from __future__ import annotations

import math

import numpy as np
import pytest
from benchmark_modules import benchmark

RUNS = 150


def allowed(share: float, runs: int) -> float:
    """Two standard errors of a share."""
    return 2 * math.sqrt(share * (1 - share) / runs)


@pytest.mark.parametrize("design", ["2+2", "3+3", "3+6", "3 pairs"])
@pytest.mark.parametrize(
    "words", [("medium", "at the edge"), ("mixture", "elsewhere"), ("slide", "constant")]
)
def test_the_verdict_is_silent_where_nothing_differs(design, words):
    coverage, curves = benchmark("verdict_coverage"), benchmark("_unit_curves")
    job = (curves.DESIGNS[design], curves.Cell(*words), RUNS, 42)
    by_point, _, _, _, verdict = coverage.coverage(job)
    assert verdict >= 0.95 - allowed(0.95, RUNS)
    assert by_point < 0.6, "looking point by point finds something nearly always"


@pytest.mark.parametrize("design", ["2+2", "3+3", "3 pairs"])
def test_the_verdict_finds_several_times_what_the_plain_band_finds(design):
    power, curves = benchmark("verdict_power"), benchmark("_unit_curves")
    job = power.Job(design, curves.Cell("mixture", "constant"), "after the edge", 60, 43)
    oracle, plain, _, _, verdict = power.power(job)
    assert verdict > plain + 0.25
    assert oracle > 0.8


def test_looks_with_a_shared_level_keep_false_rungs_at_bay():
    looks, curves = benchmark("verdict_looks"), benchmark("_unit_curves")
    shares = looks.false_rungs(looks.Job((3, 3), curves.Cell("mixture", "constant"), RUNS, 44))
    by_scan, _, each_unit, shared = shares
    assert by_scan > 0.3
    assert shared <= each_unit
    assert shared <= 0.05 + allowed(0.05, RUNS)


def test_a_declared_feature_is_silent_where_nothing_differs():
    features, curves = benchmark("feature_coverage"), benchmark("_unit_curves")
    found = features.shares(features.Job("3+3", curves.Cell("mixture", "at the edge"), 600, 45))
    for name, (silent, shown, *_) in found.items():
        assert silent >= 0.95 - allowed(0.95, 600), name
        assert shown > 0.8, name


def test_every_change_of_the_ablation_changes_something_it_can_change():
    """A step that is patched in name only would earn its place in the table by doing nothing."""
    ablation, curves = benchmark("verdict_ablation"), benchmark("_unit_curves")
    world = curves.World(curves.Cell("mixture", "at the edge"))
    control, treated = world.draw(np.random.default_rng(3), (3, 6))

    def widths(step: str) -> list[float]:
        with ablation.STEPS[step]():
            found = ablation.verdict.curves_between(world.energy, control, treated, False)
        bands = [band for band in (found.full, found.shape) if band is not None]
        return [number for b in bands for number in (b.band(0.05).half_width.sum(), b.along)]

    as_it_is = widths("as it is")
    assert widths("as it is") == as_it_is
    for step in set(ablation.STEPS) - {"as it is", "likeness along the curve only"}:
        assert widths(step) != as_it_is, step


def test_the_grid_spans_what_it_must():
    curves = benchmark("_unit_curves")
    every = {cell for design in curves.DESIGNS.values() for cell in curves.cells(design)}
    assert {"smooth", "medium", "rough", "mixture", "height", "slide", "both"} <= {c.scatter for c in every}
    assert {"constant", "fourfold", "at the edge", "elsewhere"} == {c.variance for c in every}
    assert {"tails", "arms", "arms turned", "uneven"} <= {c.special for c in every}
    assert len({c.scatter for c in every} & set(curves.GRID["nested"])) == 2
